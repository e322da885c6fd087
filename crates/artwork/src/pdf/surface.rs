//! Planes of inks, and what paint does to them.
//!
//! Compositing follows ISO 32000-2, 11.3 and 11.7: each ink is blended by itself, as light that is left (one less its
//! tone). Planes of a group hold tones times the group's alpha; a page is opaque and has no alpha.

use super::area::{Area, by_full, scaled};
use super::blend::Blend;
use crate::coverage::FULL;

/// What is painted on one ink.
#[derive(Debug, Clone, Copy)]
pub(super) enum Tone<'a> {
    Flat(u16),
    /// One tone a pixel of the row.
    Row(&'a [u16]),
}

impl Tone<'_> {
    fn at(self, i: usize) -> u16 {
        match self {
            Self::Flat(tone) => tone,
            Self::Row(row) => row[i],
        }
    }

    fn is_none(self) -> bool {
        matches!(self, Self::Flat(0))
    }
}

/// What is painted on all inks.
#[derive(Debug, Clone)]
pub(super) struct Paint<'a> {
    /// Inks with their tones.
    pub(super) tones: Vec<(usize, Tone<'a>)>,
    /// The tone of every ink that is not among them; `None` leaves those as they are (overprint).
    pub(super) others: Option<u16>,
    pub(super) blend: Blend,
    /// Constant opacity.
    pub(super) opacity: u16,
}

/// Ink planes of a page or of a transparency group.
#[derive(Debug)]
pub(super) struct Surface {
    pub(super) area: Area,
    pub(super) planes: Vec<Option<Vec<u16>>>,
    /// How much of a group is there; a page has none.
    pub(super) alpha: Option<Vec<u16>>,
    /// Later shapes of the group replace earlier ones.
    pub(super) is_knockout: bool,
    /// Something painted on it depends on what is beneath: by overprint, or a blend mode.
    pub(super) needs_beneath: bool,
    /// How much there is of a group alone, where `planes` and `alpha` show it together with what is beneath it.
    pub(super) own: Option<Vec<u16>>,
    /// What was beneath such a group before anything was painted.
    pub(super) first: Option<First>,
}

/// What a group that is not isolated begins with.
#[derive(Debug)]
pub(super) struct First {
    pub(super) planes: Vec<Option<Vec<u16>>>,
    pub(super) alpha: Option<Vec<u16>>,
}

impl First {
    /// Tone times alpha of an ink at a place of the buffers, and the alpha.
    pub(super) fn at(&self, ink: usize, place: usize) -> (u16, u16) {
        let plane = self.planes.get(ink).and_then(Option::as_ref);
        (
            plane.map_or(0, |plane| plane[place]),
            self.alpha.as_ref().map_or(FULL, |alpha| alpha[place]),
        )
    }
}

impl Surface {
    /// A blank page.
    pub(super) fn page(area: Area) -> Self {
        Self {
            area,
            planes: Vec::new(),
            alpha: None,
            is_knockout: false,
            needs_beneath: false,
            own: None,
            first: None,
        }
    }

    /// An empty group.
    pub(super) fn group(area: Area) -> Self {
        Self {
            alpha: Some(vec![0; area.pixels()]),
            ..Self::page(area)
        }
    }

    /// Tone times alpha of an ink that a shape is painted on, and the alpha.
    pub(super) fn beneath(&self, ink: usize, place: usize) -> (u16, u16) {
        match (&self.first, self.is_knockout) {
            (Some(first), true) => first.at(ink, place),
            (None, true) => (0, 0),
            _ => {
                let plane = self.planes.get(ink).and_then(Option::as_ref);
                (
                    plane.map_or(0, |plane| plane[place]),
                    self.alpha.as_ref().map_or(FULL, |alpha| alpha[place]),
                )
            }
        }
    }

    pub(super) fn plane(&mut self, ink: usize) -> &mut Vec<u16> {
        if self.planes.len() <= ink {
            self.planes.resize_with(ink + 1, || None);
        }
        let pixels = self.area.pixels();
        self.planes[ink].get_or_insert_with(|| vec![0; pixels])
    }

    /// Paints a row; `cover` tells how much of each pixel the shape covers, clip and masks taken off already.
    pub(super) fn paint(&mut self, y: i32, x0: i32, cover: &[u16], paint: &Paint<'_>) {
        self.needs_beneath |= paint.others.is_none() || paint.blend != Blend::Normal;
        if paint.blend.mixes_inks() {
            return self.paint_mixed(y, x0, cover, paint);
        }
        let at = self.area.at(x0, y);
        let span = at..at + cover.len();
        if let Some(others) = paint.others {
            for ink in 0..self.planes.len() {
                let named = paint.tones.iter().any(|(known, _)| *known == ink);
                if !named && (self.planes[ink].is_some() || others > 0) {
                    self.ink(ink, span.clone(), cover, (Tone::Flat(others), paint));
                }
            }
        }
        for &(ink, tone) in &paint.tones {
            let untouched = self.planes.get(ink).is_none_or(Option::is_none);
            if !(untouched && tone.is_none()) {
                self.ink(ink, span.clone(), cover, (tone, paint));
            }
        }
        if self.is_knockout && paint.others.is_none() {
            self.uncover(span.clone(), cover, paint);
        }
        if self.alpha.is_some() || self.own.is_some() {
            self.raise_alpha(span, cover, paint.opacity);
        }
    }

    /// Paints with a mode that mixes the process inks: what they make together with the inks beneath is painted plainly.
    fn paint_mixed(&mut self, y: i32, x0: i32, cover: &[u16], paint: &Paint<'_>) {
        let from = self.area.at(x0, y);
        let named = [0, 1, 2, 3].map(|ink| paint.tones.iter().find(|(known, _)| *known == ink));
        let mut rows = [(); 4].map(|()| vec![0; cover.len()]);
        for (i, _) in cover.iter().enumerate().filter(|(_, cover)| **cover > 0) {
            let there = self.beneath(0, from + i).1;
            let under = [0, 1, 2, 3].map(|ink| divided(self.beneath(ink, from + i).0, there));
            // An ink that is left alone counts with what is there.
            let over = [0, 1, 2, 3].map(|ink| match named[ink] {
                Some((_, tone)) => tone.at(i),
                None => paint.others.unwrap_or(under[ink]),
            });
            let blended = paint.blend.process(under, over);
            for (ink, row) in rows.iter_mut().enumerate() {
                row[i] = mixed(over[ink], blended[ink], there);
            }
        }
        let solids = paint.tones.iter().filter(|(ink, _)| *ink >= 4).copied();
        let process = rows.iter().enumerate().filter(|(ink, row)| {
            let is_bare = self.planes.get(*ink).is_none_or(Option::is_none);
            let is_painted = named[*ink].is_some() || paint.others.is_some();
            is_painted && !(is_bare && row.iter().all(|&tone| tone == 0))
        });
        let process = process.map(|(ink, row)| (ink, Tone::Row(row)));
        let plain = Paint {
            tones: process.chain(solids).collect(),
            blend: Blend::Normal,
            ..*paint
        };
        self.paint(y, x0, cover, &plain);
    }

    /// Inks that overprint leaves alone, in a group that knocks out: there again as the group began.
    fn uncover(&mut self, span: std::ops::Range<usize>, cover: &[u16], paint: &Paint<'_>) {
        for (ink, plane) in self.planes.iter_mut().enumerate() {
            let is_named = paint.tones.iter().any(|(known, _)| *known == ink);
            let Some(plane) = plane.as_mut().filter(|_| !is_named) else {
                continue;
            };
            for (place, &cover) in span.clone().zip(cover) {
                let first = self
                    .first
                    .as_ref()
                    .map_or(0, |first| first.at(ink, place).0);
                plane[place] = mixed(plane[place], first, cover);
            }
        }
    }

    fn raise_alpha(&mut self, span: std::ops::Range<usize>, cover: &[u16], opacity: u16) {
        let (is_knockout, first) = (self.is_knockout, &self.first);
        for (place, &cover) in span.zip(cover) {
            let raised = |alpha: u16, beneath: u16| {
                if is_knockout {
                    mixed(alpha, mixed(beneath, FULL, opacity), cover)
                } else {
                    mixed(alpha, FULL, scaled(cover, opacity))
                }
            };
            if let Some(alpha) = &mut self.alpha {
                let beneath = first.as_ref().map_or(0, |first| first.at(0, place).1);
                alpha[place] = raised(alpha[place], beneath);
            }
            if let Some(own) = &mut self.own {
                own[place] = raised(own[place], 0);
            }
        }
    }

    fn ink(
        &mut self,
        ink: usize,
        span: std::ops::Range<usize>,
        cover: &[u16],
        (tone, paint): (Tone<'_>, &Paint<'_>),
    ) {
        self.plane(ink);
        let is_knockout = self.is_knockout;
        let alpha = self.alpha.as_ref().map(|alpha| &alpha[span.clone()]);
        let first = self.first.as_ref();
        let Some(plane) = self.planes[ink].as_mut() else {
            return;
        };
        let begin = span.start;
        let plane = &mut plane[span];
        // Modes that do not keep white white, and those that mix inks, are Normal on solids (11.7.4.2).
        let blend = if ink >= 4 {
            paint.blend.on_solids()
        } else {
            paint.blend
        };
        if let (Tone::Flat(tone), Blend::Normal, FULL, false) =
            (tone, blend, paint.opacity, is_knockout)
        {
            for (under, &cover) in plane.iter_mut().zip(cover) {
                *under = mixed(*under, tone, cover);
            }
            return;
        }
        for (i, (under, &cover)) in plane.iter_mut().zip(cover).enumerate() {
            let tone = tone.at(i);
            if is_knockout {
                let (first, there) = first.map_or((0, 0), |first| first.at(ink, begin + i));
                let over = blended(blend, (first, there), tone);
                *under = mixed(*under, mixed(first, over, paint.opacity), cover);
                continue;
            }
            let share = scaled(cover, paint.opacity);
            if blend == Blend::Normal {
                *under = mixed(*under, tone, share);
                continue;
            }
            let there = alpha.map_or(FULL, |alpha| alpha[i]);
            *under = mixed(*under, blended(blend, (*under, there), tone), share);
        }
    }
}

/// A tone blended with what is beneath it, as far as something is: its tone times its alpha, and the alpha.
fn blended(blend: Blend, (under, there): (u16, u16), tone: u16) -> u16 {
    if blend == Blend::Normal || there == 0 {
        return tone;
    }
    mixed(tone, blend.tone(divided(under, there), tone), there)
}

/// From `a` to `b` by a share.
pub(super) fn mixed(a: u16, b: u16, share: u16) -> u16 {
    let share = u32::from(share);
    // 16 bits times 16 bits just fit; the sum of both products does too.
    by_full(u32::from(a) * (u32::from(FULL) - share) + u32::from(b) * share) as u16
}

/// A tone freed from the alpha that it was multiplied by.
pub(super) fn divided(tone: u16, alpha: u16) -> u16 {
    if alpha == 0 {
        return 0;
    }
    (u32::from(tone) * u32::from(FULL) / u32::from(alpha)).min(u32::from(FULL)) as u16
}

#[cfg(test)]
mod tests {
    use super::*;

    fn flat(ink: usize, tone: u16, others: Option<u16>) -> Paint<'static> {
        Paint {
            tones: vec![(ink, Tone::Flat(tone))],
            others,
            blend: Blend::Normal,
            opacity: FULL,
        }
    }

    #[test]
    fn paint_knocks_out_unless_it_overprints() {
        let mut page = Surface::page(Area::new(2, 1));
        page.paint(0, 0, &[FULL; 2], &flat(0, FULL, Some(0)));
        page.paint(0, 1, &[FULL], &flat(3, FULL, None));
        assert_eq!(page.planes[0].as_deref(), Some(&[FULL, FULL][..]));
        page.paint(0, 1, &[FULL], &flat(3, FULL, Some(0)));
        assert_eq!(page.planes[0].as_deref(), Some(&[FULL, 0][..]));
    }

    #[test]
    fn half_opaque_group_is_half_there() {
        let mut page = Surface::page(Area::new(1, 1));
        page.paint(0, 0, &[FULL], &flat(0, FULL, Some(0)));
        let mut group = Surface::group(Area::new(1, 1));
        group.paint(0, 0, &[FULL], &flat(1, FULL, Some(0)));
        page.lay(&group, &[], Blend::Normal, FULL / 2);
        assert_eq!(page.planes[0].as_deref(), Some(&[FULL / 2 + 1][..]));
        assert_eq!(page.planes[1].as_deref(), Some(&[FULL / 2][..]));
    }

    #[test]
    fn knockout_group_shows_the_last_shape() {
        let mut group = Surface::group(Area::new(1, 1));
        group.is_knockout = true;
        group.paint(0, 0, &[FULL], &flat(0, FULL, Some(0)));
        let half = Paint {
            opacity: FULL / 2,
            ..flat(1, FULL, Some(0))
        };
        group.paint(0, 0, &[FULL], &half);
        assert_eq!(group.planes[0].as_deref(), Some(&[0][..]));
        assert_eq!(group.alpha, Some(vec![FULL / 2]));
    }
}
