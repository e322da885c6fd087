//! Planes of inks, and what paint does to them.
//!
//! Compositing follows ISO 32000-2, 11.3 and 11.7: each ink is blended by itself, as light that is left (one less its
//! tone). Planes of a group hold tones times the group's alpha; a page is opaque and has no alpha.

use super::area::{Area, Mask, by_full, scaled};
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
}

impl Surface {
    /// A blank page.
    pub(super) fn page(area: Area) -> Self {
        Self {
            area,
            planes: Vec::new(),
            alpha: None,
            is_knockout: false,
        }
    }

    /// An empty group.
    pub(super) fn group(area: Area) -> Self {
        Self {
            alpha: Some(vec![0; area.pixels()]),
            ..Self::page(area)
        }
    }

    /// A copy of a part, with all that is there.
    pub(super) fn copy_of(&self, area: Area) -> Self {
        let part = |plane: &Vec<u16>| {
            let rows = (area.y0..area.y1).flat_map(|y| {
                let from = self.area.at(area.x0, y);
                &plane[from..from + area.width()]
            });
            rows.copied().collect()
        };
        Self {
            area,
            planes: self
                .planes
                .iter()
                .map(|plane| plane.as_ref().map(part))
                .collect(),
            alpha: self.alpha.as_ref().map(part),
            is_knockout: false,
        }
    }

    fn plane(&mut self, ink: usize) -> &mut Vec<u16> {
        if self.planes.len() <= ink {
            self.planes.resize_with(ink + 1, || None);
        }
        let pixels = self.area.pixels();
        self.planes[ink].get_or_insert_with(|| vec![0; pixels])
    }

    /// Paints a row; `cover` tells how much of each pixel the shape covers, clip and masks taken off already.
    pub(super) fn paint(&mut self, y: i32, x0: i32, cover: &[u16], paint: &Paint<'_>) {
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
        self.raise_alpha(span, cover, paint.opacity);
    }

    /// Paints with a mode that mixes the process inks: what they make together with the inks beneath is painted plainly.
    fn paint_mixed(&mut self, y: i32, x0: i32, cover: &[u16], paint: &Paint<'_>) {
        let from = self.area.at(x0, y);
        let named = [0, 1, 2, 3].map(|ink| paint.tones.iter().find(|(known, _)| *known == ink));
        let mut rows = [(); 4].map(|()| vec![0; cover.len()]);
        for (i, _) in cover.iter().enumerate().filter(|(_, cover)| **cover > 0) {
            let there = self.alpha.as_ref().map_or(FULL, |alpha| alpha[from + i]);
            let under = [0, 1, 2, 3].map(|ink| {
                let plane = self.planes.get(ink).and_then(Option::as_ref);
                plane.map_or(0, |plane| divided(plane[from + i], there))
            });
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

    fn raise_alpha(&mut self, span: std::ops::Range<usize>, cover: &[u16], opacity: u16) {
        let is_knockout = self.is_knockout;
        let Some(alpha) = &mut self.alpha else { return };
        for (alpha, &cover) in alpha[span].iter_mut().zip(cover) {
            *alpha = if is_knockout {
                mixed(*alpha, opacity, cover)
            } else {
                mixed(*alpha, FULL, scaled(cover, opacity))
            };
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
        let Some(plane) = self.planes[ink].as_mut() else {
            return;
        };
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
                *under = mixed(*under, scaled(tone, paint.opacity), cover);
                continue;
            }
            let share = scaled(cover, paint.opacity);
            if blend == Blend::Normal {
                *under = mixed(*under, tone, share);
                continue;
            }
            let there = alpha.map_or(FULL, |alpha| alpha[i]);
            let plain = if there == 0 {
                0
            } else {
                divided(*under, there)
            };
            let blended = blend.tone(plain, tone);
            *under = mixed(*under, mixed(tone, blended, there), share);
        }
    }

    /// Lays an isolated group on the surface.
    pub(super) fn lay(&mut self, group: &Self, masks: &[&Mask], blend: Blend, opacity: u16) {
        let area = self.area.both(group.area);
        for y in area.y0..area.y1 {
            let from = group.area.at(area.x0, y);
            let span = from..from + area.width();
            let mut cover = vec![FULL; area.width()];
            if let Some(alpha) = &group.alpha {
                cover.copy_from_slice(&alpha[span.clone()]);
            }
            let plain: Vec<(usize, Vec<u16>)> = group
                .planes
                .iter()
                .enumerate()
                .filter_map(|(ink, plane)| {
                    let row = plane.as_ref()?[span.clone()].iter().zip(&cover);
                    Some((
                        ink,
                        row.map(|(&tone, &there)| divided(tone, there)).collect(),
                    ))
                })
                .collect();
            for mask in masks {
                mask.thin(y, area.x0, &mut cover);
            }
            let tones = plain
                .iter()
                .map(|(ink, row)| (*ink, Tone::Row(row)))
                .collect();
            self.paint(
                y,
                area.x0,
                &cover,
                &Paint {
                    tones,
                    others: Some(0),
                    blend,
                    opacity,
                },
            );
        }
    }

    /// Takes over a group that was painted on a copy of this surface, as far as the masks show it.
    pub(super) fn take_over(&mut self, group: &Self, masks: &[&Mask], opacity: u16) {
        let area = self.area.both(group.area);
        let inks = self.planes.len().max(group.planes.len());
        for y in area.y0..area.y1 {
            let mut cover = vec![opacity; area.width()];
            for mask in masks {
                mask.thin(y, area.x0, &mut cover);
            }
            let (to, from) = (self.area.at(area.x0, y), group.area.at(area.x0, y));
            for ink in 0..inks {
                let Some(Some(source)) = group.planes.get(ink) else {
                    continue;
                };
                let plane = self.plane(ink);
                for (i, &share) in cover.iter().enumerate() {
                    plane[to + i] = mixed(plane[to + i], source[from + i], share);
                }
            }
            if let (Some(alpha), Some(source)) = (&mut self.alpha, &group.alpha) {
                for (i, &share) in cover.iter().enumerate() {
                    alpha[to + i] = mixed(alpha[to + i], source[from + i], share);
                }
            }
        }
    }
}

/// From `a` to `b` by a share.
pub(super) fn mixed(a: u16, b: u16, share: u16) -> u16 {
    let share = u32::from(share);
    // 16 bits times 16 bits just fit; the sum of both products does too.
    by_full(u32::from(a) * (u32::from(FULL) - share) + u32::from(b) * share) as u16
}

/// A tone freed from the alpha that it was multiplied by.
fn divided(tone: u16, alpha: u16) -> u16 {
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
