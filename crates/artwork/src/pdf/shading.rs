//! Shadings as colours, whatever their type. Source: ISO 32000-2, 8.7.4.3 and 8.7.4.5.

use std::rc::Rc;

use hayro_syntax::object::{Array, Dict, Object, dict_or_stream};
use hayro_syntax::page::Resources;
use kurbo::{Affine, BezPath, Rect, Shape};

use super::fill::Rule;
use super::gradient::{Gradient, GradientRows};
use super::limits::{Costed, Meter};
use super::mesh::{Mesh, MeshRows};
use super::painter::{Painter, Part, Rows};
use super::space::{Space, shade};
use super::surface::mixed;
use crate::Separator;
use crate::coverage::FULL;
use crate::error::ArtworkError;

/// Colours that a shading by one parameter is sampled to.
const STEPS: usize = 1024;

/// What a shading gives its colours to.
enum Look {
    Gradient(Gradient),
    Mesh(Mesh),
}

/// A shading that can be painted.
struct Shading {
    look: Look,
    functions: Vec<Costed>,
    space: Rc<Space>,
    background: Option<Vec<f32>>,
    bounds: Option<Rect>,
}

/// How a shading comes to be painted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Way {
    /// By the operator `sh`, which does not heed its background.
    Operator,
    /// As the colour of something else.
    Pattern,
}

impl<'a, 's> Painter<'a, 's> {
    /// Paints a shading where a path is; `matrix` goes from the shading to pixels.
    pub(super) fn shading(
        &mut self,
        (object, way): (&Object<'a>, Way),
        shape: (&BezPath, Rule),
        (matrix, part): (Affine, Part),
    ) -> Result<(), ArtworkError> {
        let shading = self.read_shading(object)?;
        if let Some(family) = shading.space.separated().filter(|_| !self.is_luminance) {
            self.findings.separated(family, "shading");
        }
        if matrix.determinant().abs() < 1e-12 || !matrix.is_finite() {
            return Ok(());
        }
        let saved = self.state.clip.clone();
        let done = self.paint_shading((&shading, way), shape, (matrix, part));
        self.state.clip = saved;
        done
    }

    fn paint_shading(
        &mut self,
        (shading, way): (&Shading, Way),
        (path, rule): (&BezPath, Rule),
        (matrix, part): (Affine, Part),
    ) -> Result<(), ArtworkError> {
        let area = self.state.clip.area.touched(path.control_box());
        self.spend(shading.cost(area.pixels() as u64))?;
        let brush = self.brush(shading);
        let background = shading
            .background
            .as_ref()
            .filter(|_| way == Way::Pattern)
            .map(|numbers| brush.tones(numbers));
        if let Some(bounds) = shading.bounds {
            self.clip_path(&(matrix * bounds.to_path(0.1)), Rule::NonZero)?;
        }
        match &shading.look {
            Look::Gradient(gradient) => {
                let mut rows = GradientRows::new(gradient, &brush, matrix);
                self.fill_rows(
                    (path, rule),
                    part,
                    &mut Grounded::new(&mut rows, background),
                )
            }
            Look::Mesh(mesh) => {
                let shared = self.shared;
                let meter = &shared.meter;
                let mut rows = MeshRows::new((mesh, &brush), meter, (matrix, area));
                self.fill_rows(
                    (path, rule),
                    part,
                    &mut Grounded::new(&mut rows, background),
                )?;
                rows.failed.map_or(Ok(()), Err)
            }
        }
    }

    /// Paints the shading of the operator `sh` over all that the clip shows.
    pub(super) fn shade_clip(&mut self, object: &Object<'a>) -> Result<(), ArtworkError> {
        let area = self.state.clip.area.rect().to_path(0.1);
        let matrix = self.state.ctm;
        self.shading(
            (object, Way::Operator),
            (&area, Rule::NonZero),
            (matrix, Part::Fill),
        )
    }

    fn read_shading(&mut self, object: &Object<'a>) -> Result<Shading, ArtworkError> {
        let Some((dict, stream)) = dict_or_stream(object) else {
            return Err(ArtworkError::damaged("a shading that is no dictionary"));
        };
        let space = dict
            .get::<Object<'_>>(b"ColorSpace")
            .ok_or_else(|| ArtworkError::damaged("a shading without its colour space"))?;
        let space = self.space(&space, &Resources::new(Dict::empty()))?;
        let functions = functions(dict, &self.shared.meter)?;
        let (look, inputs) = match dict.get::<i32>(b"ShadingType") {
            Some(kind @ 1..=3) => {
                let gradient = Gradient::of(dict, kind)?;
                let inputs = gradient.inputs();
                (Look::Gradient(gradient), inputs)
            }
            Some(kind @ 4..=7) => {
                let numbers = match functions.len() {
                    0 => space.components(),
                    _ => 1,
                };
                let meter = &self.shared.meter;
                let mesh = Mesh::of((dict, stream), kind, numbers, meter)?;
                (Look::Mesh(mesh), 1)
            }
            _ => return Err(ArtworkError::damaged("a shading of unknown type")),
        };
        let is_bare = functions.is_empty() && matches!(look, Look::Gradient(_));
        let takes = |costed: &Costed| costed.function.num_inputs() == inputs;
        if is_bare || !functions.iter().all(takes) {
            return Err(ArtworkError::damaged("a shading without its function"));
        }
        let bounds = dict.get::<hayro_syntax::object::Rect>(b"BBox");
        Ok(Shading {
            look,
            functions,
            space,
            background: dict
                .get::<Array<'_>>(b"Background")
                .map(|array| array.iter::<f32>().collect()),
            bounds: bounds.map(|r| Rect::new(r.x0, r.y0, r.x1, r.y1)),
        })
    }

    /// What turns numbers of a shading into tones.
    fn brush<'r>(&self, shading: &'r Shading) -> Brush<'r>
    where
        's: 'r,
    {
        let zeros = vec![0.0; shading.space.components()];
        let tones = self.tones(&shading.space, &zeros);
        let is_all = tones.all.is_some();
        let mut brush = Brush {
            space: &shading.space,
            functions: &shading.functions,
            separator: self.shared.separator,
            inks: if is_all {
                (0..self.inks.len()).collect()
            } else {
                tones.inks.iter().map(|&(ink, _)| ink).collect()
            },
            is_all,
            is_luminance: self.is_luminance,
            along: None,
        };
        brush.along = shading
            .by_one_parameter()
            .map(|range| Along::new(range, &brush));
        brush
    }
}

/// One function of a shading, or one for each number of its colours.
fn functions(dict: &Dict<'_>, meter: &Meter) -> Result<Vec<Costed>, ArtworkError> {
    let objects: Vec<Object<'_>> = match dict.get::<Object<'_>>(b"Function") {
        Some(Object::Array(array)) => array.iter::<Object<'_>>().take(32).collect(),
        Some(object) => vec![object],
        None => Vec::new(),
    };
    let made = objects.iter().map(|object| Costed::of(object, meter));
    Ok(made
        .collect::<Result<Vec<_>, _>>()?
        .into_iter()
        .flatten()
        .collect())
}

impl Shading {
    /// What its functions cost over so many pixels.
    fn cost(&self, pixels: u64) -> u64 {
        let one: u64 = self.functions.iter().map(|costed| costed.cost).sum();
        match self.by_one_parameter() {
            Some(_) => one.saturating_mul(STEPS as u64),
            None => (pixels * 100).saturating_add(pixels.saturating_mul(one)),
        }
    }

    /// The range of the parameter of its function, if it has one parameter.
    fn by_one_parameter(&self) -> Option<[f32; 2]> {
        match &self.look {
            Look::Gradient(gradient) if gradient.inputs() == 1 => Some(gradient.domain),
            Look::Mesh(mesh) if !self.functions.is_empty() => Some(mesh.range()),
            _ => None,
        }
    }
}

/// Turns the numbers of a shading into tones.
pub(super) struct Brush<'r> {
    pub(super) space: &'r Space,
    functions: &'r [Costed],
    separator: &'r Separator<'r>,
    pub(super) inks: Vec<usize>,
    pub(super) is_all: bool,
    pub(super) is_luminance: bool,
    /// Colours of a function of one parameter.
    pub(super) along: Option<Along>,
}

impl Brush<'_> {
    /// Tones of a colour, ink by ink.
    pub(super) fn tones(&self, numbers: &[f32]) -> Vec<u16> {
        let tones = if self.is_luminance {
            shade(self.space.luminance(numbers))
        } else {
            self.space.tones(numbers, self.separator)
        };
        match tones.all {
            Some(all) => vec![all; self.inks.len()],
            None => tones.inks.iter().map(|&(_, tone)| tone).collect(),
        }
    }

    /// The numbers of a colour out of the functions.
    pub(super) fn numbers(&self, input: &[f32]) -> Vec<f32> {
        let mut numbers = Vec::new();
        for Costed { function, .. } in self.functions {
            let from = numbers.len();
            numbers.resize(from + function.num_outputs(), 0.0);
            // A function that fails leaves zeros.
            let _ = function.eval(input, &mut numbers[from..]);
        }
        numbers
    }
}

/// Colours along a range, so that each pixel only has to look one up.
pub(super) struct Along {
    range: [f32; 2],
    colours: Vec<Vec<u16>>,
}

impl Along {
    fn new([from, to]: [f32; 2], brush: &Brush<'_>) -> Self {
        let colour = |step: usize| {
            let t = from + (to - from) * step as f32 / (STEPS - 1) as f32;
            brush.tones(&brush.numbers(&[t]))
        };
        Self {
            range: [from, to],
            colours: (0..STEPS).map(colour).collect(),
        }
    }

    /// The colour at a share of the range, 0 to 1.
    pub(super) fn at(&self, share: f64) -> &[u16] {
        let step = (share * (STEPS - 1) as f64 + 0.5) as usize;
        &self.colours[step.min(STEPS - 1)]
    }

    /// The colour of a value of the range.
    pub(super) fn of(&self, value: f32) -> &[u16] {
        let [from, to] = self.range.map(f64::from);
        self.at((f64::from(value) - from) / (to - from))
    }
}

/// A shading on its background, if it has one.
struct Grounded<'r> {
    rows: &'r mut dyn Rows,
    background: Option<Vec<u16>>,
}

impl<'r> Grounded<'r> {
    fn new(rows: &'r mut dyn Rows, background: Option<Vec<u16>>) -> Self {
        Self { rows, background }
    }
}

impl Rows for Grounded<'_> {
    fn inks(&self) -> &[usize] {
        self.rows.inks()
    }

    fn is_all(&self) -> bool {
        self.rows.is_all()
    }

    fn row(&mut self, y: i32, x0: i32, cover: &mut [u16], tones: &mut [Vec<u16>]) -> u64 {
        let Some(background) = &self.background else {
            return self.rows.row(y, x0, cover, tones);
        };
        let mut own = vec![FULL; cover.len()];
        let work = self.rows.row(y, x0, &mut own, tones);
        for (row, &beneath) in tones.iter_mut().zip(background) {
            for (tone, &own) in row.iter_mut().zip(&own) {
                *tone = mixed(beneath, *tone, own);
            }
        }
        work + cover.len() as u64
    }
}
