//! Smooth curves through measured steps.

/// A curve through knots, smooth, that does not overshoot them.
///
/// Between its knots it is a cubic whose slopes are the harmonic means of the neighbouring chords, and level where it turns.
/// Source: Fritsch and Butland 1984.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct SmoothCurve {
    /// Place and value of each knot, rising in place; at least two.
    knots: Vec<(f64, f64)>,
    slopes: Vec<f64>,
}

impl SmoothCurve {
    /// Builds the curve from its two ends and steps in any order; steps that are not between the ends are left out, and
    /// of several at one place the first counts.
    pub(crate) fn through(first: (f64, f64), mut steps: Vec<(f64, f64)>, last: (f64, f64)) -> Self {
        steps.retain(|(place, _)| *place > first.0 && *place < last.0);
        steps.sort_by(|p, q| p.0.total_cmp(&q.0));
        steps.dedup_by(|later, earlier| later.0 <= earlier.0);
        let mut knots = vec![first];
        knots.extend(steps);
        knots.push(last);
        Self::of(knots)
    }

    fn of(knots: Vec<(f64, f64)>) -> Self {
        let slopes = slopes(&knots);
        Self { knots, slopes }
    }

    /// Returns the value at a place; beyond the ends that of the nearer end.
    pub(crate) fn at(&self, place: f64) -> f64 {
        let last = self.knots.len() - 1;
        let place = place.clamp(self.knots[0].0, self.knots[last].0);
        let right = self
            .knots
            .partition_point(|knot| knot.0 < place)
            .clamp(1, last);
        let ((x0, y0), (x1, y1)) = (self.knots[right - 1], self.knots[right]);
        let (width, u) = (x1 - x0, (place - x0) / (x1 - x0));
        let v = 1.0 - u;
        y0 * v * v * (1.0 + 2.0 * u)
            + y1 * u * u * (1.0 + 2.0 * v)
            + width * u * v * (self.slopes[right - 1] * v - self.slopes[right] * u)
    }
}

/// A rising curve from (0, 0) to (1, 1), smooth and never falling.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ToneCurve(SmoothCurve);

impl ToneCurve {
    /// Builds the curve through steps in any order; steps that fall are levelled with their neighbours.
    pub(crate) fn through(steps: Vec<(f64, f64)>) -> Self {
        let clamped = steps
            .into_iter()
            .map(|(tone, area)| (tone, area.clamp(0.0, 1.0)));
        let mut curve = SmoothCurve::through((0.0, 0.0), clamped.collect(), (1.0, 1.0));
        level_falls(&mut curve.knots);
        Self(SmoothCurve::of(curve.knots))
    }

    /// Tone and area of each knot, both as fractions, rising in tone.
    pub(crate) fn knots(&self) -> &[(f64, f64)] {
        &self.0.knots
    }

    /// Returns the area at a tone; both are fractions, and tones outside 0 to 1 are taken as the nearer end.
    pub(crate) fn at(&self, tone: f64) -> f64 {
        self.0.at(tone)
    }
}

/// Pools neighbours that violate the rising order into their mean.
fn level_falls(knots: &mut [(f64, f64)]) {
    let mut blocks: Vec<(f64, usize)> = Vec::new();
    for knot in knots.iter() {
        blocks.push((knot.1, 1));
        while let [.., (low, n), (high, m)] = blocks[..] {
            if low <= high {
                break;
            }
            blocks.pop();
            let pooled = (low * n as f64 + high * m as f64) / (n + m) as f64;
            let last = blocks.len() - 1;
            blocks[last] = (pooled, n + m);
        }
    }
    let levelled = blocks
        .into_iter()
        .flat_map(|(value, count)| std::iter::repeat_n(value, count));
    for (knot, value) in knots.iter_mut().zip(levelled) {
        knot.1 = value;
    }
}

fn slopes(knots: &[(f64, f64)]) -> Vec<f64> {
    let chords: Vec<f64> = knots
        .windows(2)
        .map(|w| (w[1].1 - w[0].1) / (w[1].0 - w[0].0))
        .collect();
    let last = chords.len() - 1;
    let inner = |i: usize| {
        let (before, after) = (chords[i - 1], chords[i]);
        if before * after > 0.0 {
            2.0 * before * after / (before + after)
        } else {
            0.0
        }
    };
    let at = |i: usize| match i {
        0 => chords[0],
        i if i > last => chords[last],
        i => inner(i),
    };
    (0..knots.len()).map(at).collect()
}
