//! Groups: made from what is beneath them, and laid on it. Source: ISO 32000-2, 11.4.

use super::area::{Area, Mask};
use super::blend::Blend;
use super::surface::{First, Paint, Surface, Tone, divided, mixed};
use crate::coverage::FULL;

impl Surface {
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
            needs_beneath: false,
            own: self.own.as_ref().map(part),
            first: None,
        }
    }

    /// An empty group that shows what is beneath it, but can be told from it.
    ///
    /// In a group that knocks out, that is what the group began with.
    pub(super) fn group_on(&self, area: Area) -> Self {
        let mut beneath = self.copy_of(area);
        if self.is_knockout {
            for place in (area.y0..area.y1).flat_map(|y| (area.x0..area.x1).map(move |x| (x, y))) {
                let (to, from) = (area.at(place.0, place.1), self.area.at(place.0, place.1));
                for (ink, plane) in beneath.planes.iter_mut().enumerate() {
                    if let Some(plane) = plane {
                        plane[to] = self.beneath(ink, from).0;
                    }
                }
                if let Some(alpha) = &mut beneath.alpha {
                    alpha[to] = self.beneath(0, from).1;
                }
            }
        }
        Self {
            own: Some(vec![0; area.pixels()]),
            first: Some(First {
                planes: beneath.planes.clone(),
                alpha: beneath.alpha.clone(),
            }),
            ..beneath
        }
    }

    /// The same brought to a smaller area, so many pixels across and down averaged to one.
    pub(super) fn shrunk(&self, area: Area, (across, down): (u32, u32)) -> Self {
        let (across, down) = (across as usize, down as usize);
        let width = self.area.width();
        let shrunk = |plane: &Vec<u16>| {
            let mean = |x: usize, y: usize| {
                let rows = (y * down..(y + 1) * down).map(|y| &plane[y * width + x * across..]);
                let sum: u64 = rows
                    .flat_map(|row| &row[..across])
                    .map(|&value| u64::from(value))
                    .sum();
                let count = (across * down) as u64;
                ((sum + count / 2) / count) as u16
            };
            let pixels = (0..area.height()).flat_map(|y| (0..area.width()).map(move |x| (x, y)));
            pixels.map(|(x, y)| mean(x, y)).collect()
        };
        Self {
            planes: self
                .planes
                .iter()
                .map(|plane| plane.as_ref().map(shrunk))
                .collect(),
            alpha: self.alpha.as_ref().map(shrunk),
            ..Self::page(area)
        }
    }

    /// The tones of a group alone along a row: freed from its alpha and from what is beneath it (11.4.8).
    fn tones_alone(&self, ink: usize, span: std::ops::Range<usize>) -> Option<Vec<u16>> {
        let plane = self.planes.get(ink)?.as_ref()?;
        let tone = |place: usize| {
            let there = self.alpha.as_ref().map_or(FULL, |alpha| alpha[place]);
            let tone = divided(plane[place], there);
            let (Some(own), Some(first)) = (&self.own, &self.first) else {
                return tone;
            };
            let (before, beneath) = first.at(ink, place);
            if own[place] == 0 || beneath == 0 {
                return tone;
            }
            let (own, share) = (f32::from(own[place]), f32::from(beneath) / f32::from(FULL));
            let apart = f32::from(tone) - f32::from(divided(before, beneath));
            let alone = f32::from(tone) + apart * share * (f32::from(FULL) / own - 1.0);
            (alone + 0.5).clamp(0.0, f32::from(FULL)) as u16
        };
        Some(span.map(tone).collect())
    }

    /// Lays a group on the surface that is isolated, or was made by [`Surface::group_on`].
    pub(super) fn lay(&mut self, group: &Self, masks: &[&Mask], blend: Blend, opacity: u16) {
        let area = self.area.both(group.area);
        self.needs_beneath |= group.own.is_some() && group.needs_beneath;
        for y in area.y0..area.y1 {
            let from = group.area.at(area.x0, y);
            let span = from..from + area.width();
            let mut cover = vec![FULL; area.width()];
            if let Some(alpha) = group.own.as_ref().or(group.alpha.as_ref()) {
                cover.copy_from_slice(&alpha[span.clone()]);
            }
            let plain: Vec<(usize, Vec<u16>)> = (0..group.planes.len())
                .filter_map(|ink| Some((ink, group.tones_alone(ink, span.clone())?)))
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
        self.needs_beneath |= group.needs_beneath;
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
            for (alpha, source) in [(&mut self.alpha, &group.alpha), (&mut self.own, &group.own)] {
                if let (Some(alpha), Some(source)) = (alpha, source) {
                    for (i, &share) in cover.iter().enumerate() {
                        alpha[to + i] = mixed(alpha[to + i], source[from + i], share);
                    }
                }
            }
        }
    }
}
