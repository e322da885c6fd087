//! Delaunay's division of a cloud of points into tetrahedra.
//!
//! Method: points are inserted one after the other; the tetrahedra whose circumsphere holds the new point are replaced
//! by a fan around it (Bowyer 1981, Watson 1981). Signs of determinants are exact (Shewchuk 1997), so that no rounding
//! can break the mesh, and the same on every machine.

use robust::{Coord3D, insphere, orient3d};

/// Stands for "no neighbour".
const NONE: u32 = u32::MAX;

/// Half the size of the tetrahedron that all points lie in, far outside every colour.
const FAR: f64 = 1e6;

/// Vertices that belong to the outermost tetrahedron.
const OUTERMOST: u32 = 4;

/// One tetrahedron: corners in positive order, and the neighbour opposite each.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tetrahedron {
    corners: [u32; 4],
    neighbours: [u32; 4],
}

/// The division of all points.
#[derive(Debug)]
pub(super) struct Tetrahedra {
    points: Vec<[f64; 3]>,
    cells: Vec<Tetrahedron>,
    alive: Vec<bool>,
    free: Vec<u32>,
    last: u32,
}

impl Tetrahedra {
    /// Divides the points, which should be in no order and no two of them equal.
    pub(super) fn of(points: &[[f64; 3]]) -> Self {
        let far = |x: f64, y: f64, z: f64| [x * FAR, y * FAR, z * FAR];
        let mut mesh = Self {
            points: vec![
                far(1.0, 1.0, 1.0),
                far(1.0, -1.0, -1.0),
                far(-1.0, 1.0, -1.0),
                far(-1.0, -1.0, 1.0),
            ],
            cells: Vec::new(),
            alive: Vec::new(),
            free: Vec::new(),
            last: 0,
        };
        let corners = [0, 1, 2, 3];
        let turned = [1, 0, 2, 3];
        let first = if mesh.volume_sign(corners) > 0.0 {
            corners
        } else {
            turned
        };
        mesh.put(Tetrahedron {
            corners: first,
            neighbours: [NONE; 4],
        });
        for point in points {
            mesh.points.push(*point);
            mesh.insert(mesh.points.len() as u32 - 1);
        }
        mesh
    }

    /// Returns the corners of every tetrahedron between points of the cloud, with its number.
    pub(super) fn inner(&self) -> impl Iterator<Item = (usize, [[f64; 3]; 4])> {
        let alive = self.cells.iter().enumerate();
        alive
            .filter(|(at, cell)| self.alive[*at] && cell.corners.iter().all(|c| *c >= OUTERMOST))
            .map(|(at, cell)| (at, cell.corners.map(|c| self.points[c as usize])))
    }

    /// Returns how many numbers tetrahedra may have.
    pub(super) fn len(&self) -> usize {
        self.cells.len()
    }

    /// Returns the number of the tetrahedron that holds a place.
    pub(super) fn holding(&self, place: [f64; 3]) -> usize {
        self.walk(coordinates(place)) as usize
    }

    fn coordinates(&self, point: u32) -> Coord3D<f64> {
        coordinates(self.points[point as usize])
    }

    fn volume_sign(&self, corners: [u32; 4]) -> f64 {
        let [a, b, c, d] = corners.map(|corner| self.coordinates(corner));
        orient3d(a, b, c, d)
    }

    fn put(&mut self, cell: Tetrahedron) -> u32 {
        if let Some(at) = self.free.pop() {
            self.cells[at as usize] = cell;
            self.alive[at as usize] = true;
            at
        } else {
            self.cells.push(cell);
            self.alive.push(true);
            self.cells.len() as u32 - 1
        }
    }

    /// Goes from tetrahedron to tetrahedron towards a place, which in Delaunay's division always arrives.
    fn walk(&self, place: Coord3D<f64>) -> u32 {
        let mut at = self.last;
        'next: loop {
            let cell = self.cells[at as usize];
            let corners = cell.corners.map(|c| self.coordinates(c));
            for face in 0..4 {
                let mut moved = corners;
                moved[face] = place;
                let beyond = orient3d(moved[0], moved[1], moved[2], moved[3]) < 0.0;
                if beyond && cell.neighbours[face] != NONE {
                    at = cell.neighbours[face];
                    continue 'next;
                }
            }
            return at;
        }
    }

    fn insert(&mut self, point: u32) {
        let start = self.walk(self.coordinates(point));
        let cavity = self.cavity(start, self.coordinates(point));
        let walls = self.walls(&cavity);
        let is_seen = |(cell, face): &(u32, usize)| {
            let mut corners = self.cells[*cell as usize].corners;
            corners[*face] = point;
            self.volume_sign(corners) > 0.0
        };
        // A point that lies on a wall to the last bit adds no shape; leaving it out keeps the mesh whole.
        if !walls.iter().all(is_seen) {
            return;
        }
        self.fan(point, &cavity, &walls);
    }

    /// The tetrahedra whose circumsphere holds the place.
    fn cavity(&self, start: u32, place: Coord3D<f64>) -> Vec<u32> {
        let mut cavity = vec![start];
        let mut next = 0;
        while next < cavity.len() {
            for neighbour in self.cells[cavity[next] as usize].neighbours {
                if neighbour != NONE
                    && !cavity.contains(&neighbour)
                    && self.circumsphere_holds(neighbour, place)
                {
                    cavity.push(neighbour);
                }
            }
            next += 1;
        }
        cavity
    }

    fn circumsphere_holds(&self, cell: u32, place: Coord3D<f64>) -> bool {
        let [a, b, c, d] = self.cells[cell as usize]
            .corners
            .map(|corner| self.coordinates(corner));
        insphere(a, b, c, d, place) > 0.0
    }

    /// The faces between the cavity and the rest.
    fn walls(&self, cavity: &[u32]) -> Vec<(u32, usize)> {
        let faces = cavity
            .iter()
            .flat_map(|cell| (0..4).map(move |face| (*cell, face)));
        faces
            .filter(|(cell, face)| {
                let beyond = self.cells[*cell as usize].neighbours[*face];
                beyond == NONE || !cavity.contains(&beyond)
            })
            .collect()
    }

    /// Replaces the cavity by tetrahedra from its walls to the point.
    fn fan(&mut self, point: u32, cavity: &[u32], walls: &[(u32, usize)]) {
        let mut made: Vec<Tetrahedron> = Vec::with_capacity(walls.len());
        for (cell, face) in walls {
            let mut new = self.cells[*cell as usize];
            new.corners[*face] = point;
            let beyond = new.neighbours[*face];
            new.neighbours = [NONE; 4];
            new.neighbours[*face] = beyond;
            made.push(new);
        }
        for cell in cavity {
            self.alive[*cell as usize] = false;
            self.free.push(*cell);
        }
        let places: Vec<u32> = made.iter().map(|cell| self.put(*cell)).collect();
        for ((_, face), place) in walls.iter().zip(&places) {
            self.tell_beyond(*place, *face);
        }
        self.join(point, &places);
        self.last = places[0];
    }

    /// Lets the tetrahedron outside a wall know its new neighbour; the two share the wall's three corners.
    fn tell_beyond(&mut self, place: u32, face: usize) {
        let new = self.cells[place as usize];
        let beyond = new.neighbours[face];
        if beyond == NONE {
            return;
        }
        let wall = |corner: &u32| (0..4).any(|i| i != face && new.corners[i] == *corner);
        let outside = &mut self.cells[beyond as usize];
        if let Some(opposite) = outside.corners.iter().position(|corner| !wall(corner)) {
            outside.neighbours[opposite] = place;
        }
    }

    /// Joins the fan's tetrahedra along the edges of the cavity's walls, two at each.
    fn join(&mut self, point: u32, places: &[u32]) {
        let mut edges: Vec<([u32; 2], u32, usize)> = Vec::with_capacity(3 * places.len());
        for place in places {
            let corners = self.cells[*place as usize].corners;
            for face in (0..4).filter(|face| corners[*face] != point) {
                let mut edge = [NONE; 2];
                let rest = (0..4).filter(|i| *i != face && corners[*i] != point);
                for (slot, i) in edge.iter_mut().zip(rest) {
                    *slot = corners[i];
                }
                edge.sort_unstable();
                edges.push((edge, *place, face));
            }
        }
        edges.sort_unstable();
        for pair in edges.as_chunks::<2>().0 {
            let [(_, p, p_face), (_, q, q_face)] = *pair;
            self.cells[p as usize].neighbours[p_face] = q;
            self.cells[q as usize].neighbours[q_face] = p;
        }
    }
}

fn coordinates([x, y, z]: [f64; 3]) -> Coord3D<f64> {
    Coord3D { x, y, z }
}
