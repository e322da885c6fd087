//! Vertices and patches out of the data of a mesh. Source: ISO 32000-2, 8.7.4.5.5 to 8.7.4.5.8.

use hayro_syntax::object::{Array, Dict};
use kurbo::{Affine, Point};

use super::patch::Patch;
use crate::error::ArtworkError;

/// Most bits of a number.
const MOST_BITS: u32 = 32;
/// Control points of a Coons patch, and of a tensor-product patch.
const COONS: usize = 12;
const TENSOR: usize = 16;

/// How pieces follow each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// Triangles that say which edge they share.
    Free,
    /// Rows of so many vertices.
    Lattice(usize),
    /// Patches of so many control points.
    Patches(usize),
}

/// How vertices are written.
#[derive(Debug)]
pub(super) struct Layout {
    kind: Kind,
    coordinate_bits: u32,
    component_bits: u32,
    flag_bits: u32,
    /// Ranges of x, y and every number of a colour.
    decode: Vec<[f64; 2]>,
}

/// A corner with the numbers of its colour.
#[derive(Debug, Clone)]
pub(super) struct Vertex {
    pub(super) at: Point,
    pub(super) numbers: Vec<f32>,
}

/// What a mesh is put together from, in the order of painting.
pub(super) enum Piece<'p> {
    Triangle([&'p Vertex; 3]),
    Patch(&'p Patch),
}

impl Layout {
    /// How the vertices of a shading of type 4 to 7 are written, their colours being so many numbers.
    pub(super) fn of(dict: &Dict<'_>, kind: i32, numbers: usize) -> Result<Self, ArtworkError> {
        let bits = |key: &[u8]| {
            let found = dict.get::<u32>(key);
            found
                .filter(|bits| (1..=MOST_BITS).contains(bits))
                .ok_or_else(|| {
                    let key = String::from_utf8_lossy(key);
                    ArtworkError::damaged(format!("a mesh shading without its {key} of 1 to 32"))
                })
        };
        let kind = match kind {
            4 => Kind::Free,
            5 => {
                let row = dict.get::<usize>(b"VerticesPerRow");
                Kind::Lattice(row.filter(|row| *row >= 2).ok_or_else(|| {
                    ArtworkError::damaged("a lattice of triangles without two vertices in a row")
                })?)
            }
            6 => Kind::Patches(COONS),
            _ => Kind::Patches(TENSOR),
        };
        let decode = dict.get::<Array<'_>>(b"Decode");
        let decode: Vec<f64> = decode.iter().flat_map(Array::iter::<f64>).collect();
        let pairs = decode.chunks_exact(2).map(|pair| [pair[0], pair[1]]);
        let decode: Vec<[f64; 2]> = pairs.take(2 + numbers).collect();
        if decode.len() < 2 + numbers {
            return Err(ArtworkError::damaged(
                "a mesh shading whose Decode array is too short",
            ));
        }
        Ok(Self {
            kind,
            coordinate_bits: bits(b"BitsPerCoordinate")?,
            component_bits: bits(b"BitsPerComponent")?,
            flag_bits: match kind {
                Kind::Lattice(_) => 0,
                _ => bits(b"BitsPerFlag")?,
            },
            decode,
        })
    }

    /// The range of the first number of a colour.
    pub(super) fn first_range(&self) -> [f32; 2] {
        let [low, high] = self.decode[2];
        [low as f32, high as f32]
    }

    /// Gives every piece to `found`, its points brought to pixels by `matrix`.
    pub(super) fn each(
        &self,
        data: &[u8],
        matrix: Affine,
        found: &mut dyn FnMut(Piece<'_>) -> Result<(), ArtworkError>,
    ) -> Result<(), ArtworkError> {
        let bits = Bits { data, at: 0 };
        let reader = Reader {
            layout: self,
            bits,
            matrix,
        };
        match self.kind {
            Kind::Free => reader.triangles(found),
            Kind::Lattice(row) => reader.lattice(row, found),
            Kind::Patches(points) => reader.patches(points, found),
        }
    }

    fn numbers(&self) -> usize {
        self.decode.len() - 2
    }
}

/// Told of a piece that shares an edge with one that is not there.
fn no_start() -> ArtworkError {
    ArtworkError::damaged("a mesh shading that goes on before it has begun")
}

struct Reader<'r> {
    layout: &'r Layout,
    bits: Bits<'r>,
    matrix: Affine,
}

impl Reader<'_> {
    fn triangles(
        mut self,
        found: &mut dyn FnMut(Piece<'_>) -> Result<(), ArtworkError>,
    ) -> Result<(), ArtworkError> {
        let mut last: Option<[Vertex; 3]> = None;
        while let Some((flag, vertex)) = self.flagged() {
            let next = match (flag, last.take()) {
                (0, _) => {
                    let (Some((_, second)), Some((_, third))) = (self.flagged(), self.flagged())
                    else {
                        break;
                    };
                    [vertex, second, third]
                }
                (1, Some([_, b, c])) => [b, c, vertex],
                (_, Some([a, _, c])) => [a, c, vertex],
                (_, None) => return Err(no_start()),
            };
            found(Piece::Triangle(next.each_ref()))?;
            last = Some(next);
        }
        Ok(())
    }

    fn flagged(&mut self) -> Option<(u32, Vertex)> {
        let flag = self.flag()?;
        Some((flag, self.vertex()?))
    }

    fn flag(&mut self) -> Option<u32> {
        // A piece starts a new byte; only the lowest two bits tell.
        self.bits.align();
        Some(self.bits.next(self.layout.flag_bits)? & 3)
    }

    /// Every four neighbours make two triangles.
    fn lattice(
        mut self,
        row: usize,
        found: &mut dyn FnMut(Piece<'_>) -> Result<(), ArtworkError>,
    ) -> Result<(), ArtworkError> {
        let layout = self.layout;
        let numbers = layout.numbers() as u64 * u64::from(layout.component_bits);
        let size = (2 * u64::from(layout.coordinate_bits) + numbers).div_ceil(8) as usize;
        let mut vertex = |index: usize| {
            self.bits.at = size.checked_mul(index)?.checked_mul(8)?;
            self.vertex()
        };
        for line in 0.. {
            // Only whole rows count.
            let Some(from) = row.checked_mul(line) else {
                break;
            };
            let below = from.saturating_add(row);
            if below.checked_add(row - 1).and_then(&mut vertex).is_none() {
                break;
            }
            let mut before: Option<[Vertex; 2]> = None;
            for column in 0..row {
                let (Some(up), Some(down)) = (vertex(from + column), vertex(below + column)) else {
                    break;
                };
                if let Some([a, c]) = &before {
                    found(Piece::Triangle([a, &up, c]))?;
                    found(Piece::Triangle([&up, c, &down]))?;
                }
                before = Some([up, down]);
            }
        }
        Ok(())
    }

    fn patches(
        mut self,
        count: usize,
        found: &mut dyn FnMut(Piece<'_>) -> Result<(), ArtworkError>,
    ) -> Result<(), ArtworkError> {
        let mut last: Option<Patch> = None;
        while let Some(flag) = self.flag() {
            let (mut points, mut colours) = match (flag, last.take()) {
                (0, _) => (Vec::new(), Vec::new()),
                (edge, Some(last)) => last.edge(edge as usize),
                (_, None) => return Err(no_start()),
            };
            while points.len() < count {
                let Some(point) = self.point() else {
                    return Ok(());
                };
                points.push(point);
            }
            while colours.len() < 4 {
                let Some(colour) = self.colour() else {
                    return Ok(());
                };
                colours.push(colour);
            }
            let patch = Patch::of(&points, colours);
            found(Piece::Patch(&patch))?;
            last = Some(patch);
        }
        Ok(())
    }

    /// A point and its colour, up to the end of the byte.
    fn vertex(&mut self) -> Option<Vertex> {
        let (at, numbers) = (self.point()?, self.colour()?);
        self.bits.align();
        Some(Vertex { at, numbers })
    }

    fn point(&mut self) -> Option<Point> {
        let bits = self.layout.coordinate_bits;
        let x = self.number(bits, 0)?;
        let y = self.number(bits, 1)?;
        Some(self.matrix * Point::new(x, y))
    }

    fn colour(&mut self) -> Option<Vec<f32>> {
        let bits = self.layout.component_bits;
        let numbers = 0..self.layout.numbers();
        numbers
            .map(|at| self.number(bits, 2 + at).map(|number| number as f32))
            .collect()
    }

    fn number(&mut self, bits: u32, at: usize) -> Option<f64> {
        let [low, high] = self.layout.decode[at];
        let most = ((1_u64 << bits) - 1) as f64;
        Some(low + f64::from(self.bits.next(bits)?) / most * (high - low))
    }
}

/// Bits of the data, the highest of a byte first.
struct Bits<'d> {
    data: &'d [u8],
    at: usize,
}

impl Bits<'_> {
    fn align(&mut self) {
        self.at = self.at.next_multiple_of(8);
    }

    /// The next bits as a number; `None` where the data has ended.
    fn next(&mut self, count: u32) -> Option<u32> {
        let (first, skip) = (self.at / 8, self.at % 8);
        let end = self.at + count as usize;
        let bytes = self.data.get(first..end.div_ceil(8))?;
        let held = bytes
            .iter()
            .fold(0_u64, |held, byte| held << 8 | u64::from(*byte));
        self.at = end;
        let below = bytes.len() * 8 - skip - count as usize;
        Some((held >> below & ((1 << count) - 1)) as u32)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bits_are_read_across_bytes() {
        let data = [0b1011_0001, 0xff, 0x00, 0xaa, 0x55, 0x80];
        let mut bits = Bits { data: &data, at: 0 };
        assert_eq!(bits.next(1), Some(1));
        assert_eq!(bits.next(3), Some(0b011));
        assert_eq!(bits.next(12), Some(0b0001_1111_1111));
        bits.at = 7;
        assert_eq!(bits.next(32), Some(0xff80_552a));
        bits.at = 41;
        bits.align();
        assert_eq!(bits.next(1), None);
    }
}
