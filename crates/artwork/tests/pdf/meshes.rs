//! Mesh shadings: triangles and patches whose mean can be worked out by hand.

use inkset_artwork::{Finding, PageCoverage};

use crate::make::{Pdf, separation};
use crate::{check, mean, only_page};

/// Writes numbers of any width, the highest bit first; each piece fills its last byte.
#[derive(Default)]
pub(crate) struct Mesh {
    bytes: Vec<u8>,
    held: u64,
    count: u32,
    /// Bits of a flag (0 for none), a coordinate and a number of a colour.
    bits: [u32; 3],
}

impl Mesh {
    pub(crate) fn new(bits: [u32; 3]) -> Self {
        Self {
            bits,
            ..Self::default()
        }
    }

    fn push(&mut self, value: u64, bits: u32) {
        for at in (0..bits).rev() {
            self.held = self.held << 1 | (value >> at & 1);
            self.count += 1;
            if self.count == 8 {
                self.bytes.push(self.held as u8);
                (self.held, self.count) = (0, 0);
            }
        }
    }

    /// A share, 0 to 1, of the whole range.
    fn share(&mut self, share: f64, bits: u32) {
        let most = ((1_u64 << bits) - 1) as f64;
        self.push((share * most).round() as u64, bits);
    }

    /// A vertex or a patch: its flag, its points as shares of 200 by 100 points, its colours.
    pub(crate) fn piece(&mut self, flag: u64, points: &[(f64, f64)], colours: &[&[f64]]) {
        let [flags, coordinate, component] = self.bits;
        self.push(flag, flags);
        for &(x, y) in points {
            self.share(x / 200.0, coordinate);
            self.share(y / 100.0, coordinate);
        }
        for &number in colours.iter().copied().flatten() {
            self.share(number, component);
        }
        while self.count > 0 {
            self.push(0, 1);
        }
    }

    /// The shading as an object of the document; `ranges` are those of the numbers of its colours.
    pub(crate) fn object(&self, pdf: &mut Pdf, kind: u32, entries: &str, ranges: &str) -> String {
        let [flag, coordinate, component] = self.bits;
        let flag = if flag > 0 {
            format!("/BitsPerFlag {flag}")
        } else {
            String::new()
        };
        pdf.stream(
            &format!("/ShadingType {kind} {entries} {flag} /BitsPerCoordinate {coordinate} /BitsPerComponent {component} /Decode [0 200 0 100 {ranges}]"),
            &self.bytes,
        )
    }

    /// A page that this mesh is painted on by the operator `sh`.
    fn page(&self, kind: u32, entries: &str, ranges: &str) -> PageCoverage {
        let mut pdf = Pdf::default();
        let mesh = self.object(&mut pdf, kind, entries, ranges);
        pdf.page(&format!("/Shading << /S {mesh} >>"), "/S sh");
        only_page(pdf.finish())
    }
}

const CMYK: &str = "/ColorSpace /DeviceCMYK";
const FOUR: &str = "0 1 0 1 0 1 0 1";

/// The control points of an edge that is a straight line, without its end.
fn straight(from: (f64, f64), to: (f64, f64)) -> [(f64, f64); 3] {
    [0.0, 1.0, 2.0].map(|step| {
        let share = step / 3.0;
        (
            from.0 + (to.0 - from.0) * share,
            from.1 + (to.1 - from.1) * share,
        )
    })
}

/// The twelve points of a Coons patch with straight edges.
pub(crate) fn straight_patch(corners: [(f64, f64); 4]) -> Vec<(f64, f64)> {
    (0..4)
        .flat_map(|at| straight(corners[at], corners[(at + 1) % 4]))
        .collect()
}

/// Half of the page.
const LEFT: [(f64, f64); 4] = [(0.0, 0.0), (0.0, 100.0), (100.0, 100.0), (100.0, 0.0)];

#[test]
fn triangles_average_their_corners() {
    // Whatever the numbers are packed to; 4 bits hold none of these places.
    for bits in [
        [8, 8, 8],
        [2, 16, 4],
        [4, 24, 16],
        [8, 32, 12],
        [8, 12, 2],
        [8, 1, 1],
    ] {
        let mut mesh = Mesh::new(bits);
        for (at, colour) in [
            ((0.0, 0.0), [1.0, 0.0, 0.0, 0.0]),
            ((200.0, 0.0), [1.0, 1.0, 0.0, 0.0]),
            ((0.0, 100.0), [1.0, 0.0, 0.0, 1.0]),
        ] {
            mesh.piece(0, &[at], &[&colour]);
        }
        let found = mesh.page(4, CMYK, FOUR);
        let third = 50.0 / 3.0;
        check(
            &found,
            &[("Cyan", 50.0), ("Magenta", third), ("Black", third)],
        );
    }
}

#[test]
fn triangles_go_on_from_an_edge() {
    let cyan: &[f64] = &[1.0, 0.0, 0.0, 0.0];
    let magenta: &[f64] = &[0.0, 1.0, 0.0, 0.0];
    // The third of a fan along the bottom shares an edge with the second (flag 1 or 2).
    for (flag, last) in [(1, (150.0, 100.0)), (2, (0.0, 100.0))] {
        let mut mesh = Mesh::new([8, 16, 8]);
        for at in [(0.0, 0.0), (100.0, 0.0), (50.0, 100.0)] {
            mesh.piece(0, &[at], &[cyan]);
        }
        // Flags are told by their lowest two bits.
        mesh.piece(flag | 0xf0, &[last], &[cyan]);
        let area = if flag == 1 { 50.0 } else { 37.5 };
        check(&mesh.page(4, CMYK, FOUR), &[("Cyan", area)]);
        mesh.piece(0, &[(0.0, 0.0)], &[magenta]);
        mesh.piece(3, &[(100.0, 0.0)], &[magenta]);
        mesh.piece(3, &[(50.0, 100.0)], &[magenta]);
        // What comes later lies over what was there.
        check(
            &mesh.page(4, CMYK, FOUR),
            &[("Cyan", area - 25.0), ("Magenta", 25.0)],
        );
    }
}

#[test]
fn a_lattice_leaves_no_seams() {
    // Places shaken so that no edge lies along pixels; the rim stays straight.
    let mut mesh = Mesh::new([0, 32, 16]);
    for row in 0..12 {
        for column in 0..23 {
            let shake = |at: i32, most: i32| match at {
                0 => 0.0,
                at if at == most => 0.0,
                at => f64::from((at * 37 + row * 91 + column * 53) % 17) / 40.0,
            };
            let x = (f64::from(column) + shake(column, 22)) * 200.0 / 22.0;
            let y = (f64::from(row) + shake(row, 11)) * 100.0 / 11.0;
            mesh.piece(0, &[(x, y)], &[&[1.0, x / 200.0, 0.0, y / 100.0]]);
        }
    }
    let found = mesh.page(5, &format!("{CMYK} /VerticesPerRow 23"), FOUR);
    check(
        &found,
        &[("Cyan", 100.0), ("Magenta", 50.0), ("Black", 50.0)],
    );
    assert!(mean(&found, "Cyan") > 99.999, "{found:#?}");
}

#[test]
fn coons_patches_average_their_corners() {
    let mut mesh = Mesh::new([8, 16, 8]);
    let colours: [&[f64]; 4] = [
        &[1.0, 1.0, 0.0, 0.0],
        &[1.0, 0.0, 0.0, 0.0],
        &[1.0, 0.0, 0.0, 0.0],
        &[1.0, 0.0, 0.0, 1.0],
    ];
    mesh.piece(0, &straight_patch(LEFT), &colours);
    check(
        &mesh.page(6, CMYK, FOUR),
        &[("Cyan", 50.0), ("Magenta", 12.5), ("Black", 12.5)],
    );
    // The next one on shares the edge from the second corner but one.
    let next = [(100.0, 0.0), (100.0, 100.0), (200.0, 100.0), (200.0, 0.0)];
    let mut points = straight_patch([next[1], next[0], next[3], next[2]]);
    points.drain(..4);
    mesh.piece(2, &points, &[&[0.0; 4], &[0.0; 4]]);
    check(
        &mesh.page(6, CMYK, FOUR),
        &[("Cyan", 75.0), ("Magenta", 12.5), ("Black", 25.0)],
    );
}

#[test]
fn uneven_patches_are_weighed_by_area() {
    // From 200 wide at the bottom to 0 at the top: black grows upwards. The patch narrows as 1 - v, black is v.
    let corners = [(0.0, 0.0), (100.0, 100.0), (100.0, 100.0), (200.0, 0.0)];
    let mut mesh = Mesh::new([8, 32, 16]);
    let (none, full): (&[f64], &[f64]) = (&[0.0], &[1.0]);
    mesh.piece(0, &straight_patch(corners), &[none, full, full, none]);
    let entries = "/ColorSpace [/Separation /Copper /DeviceGray << /FunctionType 2 /Domain [0 1] /N 1 /C0 [1] /C1 [0] >>]";
    let found = mesh.page(6, entries, "0 1");
    check(&found, &[("Copper", 50.0 / 3.0)]);
}

/// The sixteen points of a patch over a half of the page: 12 round the edge, then the inside.
fn tensor(inside: [(f64, f64); 4]) -> Vec<(f64, f64)> {
    let mut points = straight_patch(LEFT);
    points.extend(inside);
    points
}

#[test]
fn tensor_patches_heed_their_inside() {
    let third = 100.0 / 3.0;
    let even = [
        (third, third),
        (third, 2.0 * third),
        (2.0 * third, 2.0 * third),
        (2.0 * third, third),
    ];
    let colours: [&[f64]; 4] = [
        &[0.0, 0.0, 0.0, 0.0],
        &[0.0, 0.0, 0.0, 0.0],
        &[1.0, 0.0, 0.0, 0.0],
        &[1.0, 0.0, 0.0, 0.0],
    ];
    let mut mesh = Mesh::new([8, 32, 16]);
    mesh.piece(0, &tensor(even), &colours);
    check(&mesh.page(7, CMYK, FOUR), &[("Cyan", 25.0)]);
    // Points inside that are drawn to the left by a fifth of the width bring the right colour over there: where cyan is
    // u, an element of area is 1 - 3 (1 - 2u) / 5 x 3v (1 - v), and the mean of the product 1/2 + 1/20.
    let pulled = even.map(|(x, y)| (x - 20.0, y));
    let mut mesh = Mesh::new([8, 32, 16]);
    mesh.piece(0, &tensor(pulled), &colours);
    check(&mesh.page(7, CMYK, FOUR), &[("Cyan", 50.0 * (0.5 + 0.05))]);
}

#[test]
fn curved_patches_share_their_edges() {
    // Two patches whose common edge is an S; together they are the page.
    let curve = [(100.0, 0.0), (160.0, 40.0), (40.0, 60.0), (100.0, 100.0)];
    let ink: &[f64] = &[1.0];
    let mut left = straight_patch([(0.0, 0.0), (0.0, 100.0), curve[3], curve[0]]);
    left[7] = curve[2];
    left[8] = curve[1];
    let mut mesh = Mesh::new([8, 32, 8]);
    mesh.piece(0, &left, &[ink; 4]);
    let mut right = straight_patch([curve[3], curve[0], (200.0, 0.0), (200.0, 100.0)]);
    right.drain(..4);
    // From its other side, and once as a patch of its own.
    let mut own = straight_patch([curve[0], curve[3], (200.0, 100.0), (200.0, 0.0)]);
    own[1] = curve[1];
    own[2] = curve[2];
    for flag in [0, 2] {
        let mut both = Mesh {
            bytes: mesh.bytes.clone(),
            bits: mesh.bits,
            ..Mesh::default()
        };
        if flag == 2 {
            both.piece(2, &right, &[ink; 2]);
        } else {
            both.piece(0, &own, &[ink; 4]);
        }
        let found = both.page(6, "/ColorSpace /DeviceGray", "1 0");
        assert!(mean(&found, "Black") > 99.99, "{flag}: {found:#?}");
    }
}

#[test]
fn functions_and_ranges_are_heeded() {
    // Half of the range is white and half black, with a step between; the parameter runs from -1 to 1.
    let function = "<< /FunctionType 3 /Domain [-1 1] /Bounds [0] /Encode [0 1 0 1] /Functions [<< /FunctionType 2 /Domain [0 1] /N 1 /C0 [0 0 0 0] /C1 [0 0 0 0] >> << /FunctionType 2 /Domain [0 1] /N 1 /C0 [0 1 0 0.5] /C1 [0 1 0 0.5] >>] >>";
    let mut mesh = Mesh::new([8, 16, 16]);
    let (none, full): (&[f64], &[f64]) = (&[0.0], &[1.0]);
    mesh.piece(0, &straight_patch(LEFT), &[none, none, full, full]);
    let entries = format!("{CMYK} /Function {function}");
    let found = mesh.page(6, &entries, "-1 1");
    check(&found, &[("Magenta", 25.0), ("Black", 12.5)]);
}

#[test]
fn further_inks_of_a_mesh_survive() {
    let copper = separation("Copper", [0.0, 0.5, 0.8, 0.3]);
    let two = "[/DeviceN [/Copper /Black] /DeviceGray << /FunctionType 4 /Domain [0 1 0 1] /Range [0 1] /Length 3 >>]";
    let mut pdf = Pdf::default();
    let tint = pdf.stream("/FunctionType 4 /Domain [0 1 0 1] /Range [0 1]", b"{ pop }");
    let two = two.replace(
        "<< /FunctionType 4 /Domain [0 1 0 1] /Range [0 1] /Length 3 >>",
        &tint,
    );
    let mut mesh = Mesh::new([8, 16, 8]);
    for at in [(0.0, 0.0), (200.0, 0.0), (0.0, 100.0)] {
        mesh.piece(0, &[at], &[&[0.6, 0.2]]);
    }
    let shading = mesh.object(&mut pdf, 4, &format!("/ColorSpace {two}"), "0 1 0 1");
    pdf.page(&format!("/Shading << /S {shading} >>"), "/S sh");
    check(
        &only_page(pdf.finish()),
        &[("Copper", 30.0), ("Black", 10.0)],
    );
    // Its background, where it is a colour; with the box that it may lie in.
    let mut pdf = Pdf::default();
    let mut mesh = Mesh::new([8, 16, 8]);
    for at in [(0.0, 0.0), (200.0, 0.0), (0.0, 100.0)] {
        mesh.piece(0, &[at], &[&[1.0]]);
    }
    let entries = format!("/ColorSpace {copper} /Background [0.2] /BBox [0 0 200 50]");
    let shading = mesh.object(&mut pdf, 4, &entries, "0 1");
    let resources = format!(
        "/Shading << /S {shading} >> /Pattern << /P << /PatternType 2 /Shading {shading} >> >>"
    );
    pdf.page(&resources, "/S sh");
    pdf.page(&resources, "/Pattern cs /P scn 0 0 200 100 re f");
    let artwork = crate::measured(pdf.finish()).unwrap();
    let pages: Vec<_> = artwork
        .pages
        .iter()
        .map(|page| page.as_ref().unwrap())
        .collect();
    check(pages[0], &[("Copper", 37.5)]);
    check(pages[1], &[("Copper", 37.5 + 12.5 * 0.2)]);
}

#[test]
fn meshes_of_rgb_are_separated_between_their_corners() {
    // From white to black through grey: the separation of the grey counts, not that halfway between the ends.
    let mut mesh = Mesh::new([8, 16, 8]);
    let (none, full): (&[f64], &[f64]) = (&[0.0; 3], &[1.0; 3]);
    mesh.piece(0, &straight_patch(LEFT), &[none, none, full, full]);
    let found = mesh.page(6, "/ColorSpace /DeviceRGB", "0 1 0 1 0 1");
    let axial = "<< /ShadingType 2 /ColorSpace /DeviceRGB /Coords [0 0 100 0] /Function << /FunctionType 2 /Domain [0 1] /N 1 /C0 [0 0 0] /C1 [1 1 1] >> >>";
    let same = crate::page(&format!("/Shading << /S {axial} >>"), "/S sh");
    for ink in ["Cyan", "Magenta", "Yellow", "Black"] {
        let (found, same) = (mean(&found, ink), mean(&same, ink));
        assert!((found - same).abs() < 0.05, "{ink} {found} {same}");
    }
    let told =
        |finding: &Finding| matches!(finding, Finding::Separated { what } if what == "RGB shading");
    assert!(found.findings.iter().any(told), "{found:#?}");
}

#[test]
fn a_mesh_that_folds_shows_what_comes_last() {
    // The patch runs to the right edge and back to the left: what has the larger u lies on top.
    let mut points = straight_patch(LEFT);
    for (at, x) in [
        (4, 200.0),
        (5, 200.0),
        (6, 0.0),
        (7, 0.0),
        (8, 0.0),
        (9, 0.0),
        (10, 200.0),
        (11, 200.0),
    ] {
        points[at].0 = x;
    }
    let mut mesh = Mesh::new([8, 32, 8]);
    let (first, last): (&[f64], &[f64]) = (&[0.0, 1.0, 0.0, 0.0], &[0.0, 1.0, 0.0, 1.0]);
    mesh.piece(0, &points, &[first, first, last, last]);
    let found = mesh.page(6, CMYK, FOUR);
    // Its place is 600 u (1 - u), so it turns at u = 1/2 and three quarters of the width. Black is u on the way back:
    // the integral of u 3 (2u - 1) from 1/2 to 1.
    // Where cells of a fold meet within a pixel, what lies over which of them is reckoned by shares.
    assert!((mean(&found, "Magenta") - 75.0).abs() < 0.05, "{found:#?}");
    assert!((mean(&found, "Black") - 62.5).abs() < 0.7, "{found:#?}");
}
