//! A monotone curve through measured steps.

/// A rising curve from (0, 0) to (1, 1), smooth and never falling.
///
/// Between its knots it is a cubic whose slopes are the harmonic means of the neighbouring chords, which cannot
/// overshoot. Source: Fritsch and Butland 1984.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ToneCurve {
    /// Tone and area of each knot, both as fractions, rising in tone.
    pub(crate) knots: Vec<(f64, f64)>,
    slopes: Vec<f64>,
}

impl ToneCurve {
    /// Builds the curve through steps in any order; steps that fall are levelled with their neighbours.
    pub(crate) fn through(steps: Vec<(f64, f64)>) -> Self {
        let mut knots = vec![(0.0, 0.0)];
        let mut inner: Vec<_> = steps
            .into_iter()
            .filter(|(tone, _)| *tone > 0.0 && *tone < 1.0)
            .collect();
        inner.sort_by(|p, q| p.0.total_cmp(&q.0));
        inner.dedup_by(|later, earlier| later.0 <= earlier.0);
        knots.extend(
            inner
                .into_iter()
                .map(|(tone, area)| (tone, area.clamp(0.0, 1.0))),
        );
        knots.push((1.0, 1.0));
        level_falls(&mut knots);
        let slopes = slopes(&knots);
        Self { knots, slopes }
    }

    /// Returns the area at a tone; both are fractions, and tones outside 0 to 1 are taken as the nearer end.
    pub(crate) fn at(&self, tone: f64) -> f64 {
        let tone = tone.clamp(0.0, 1.0);
        let right = self
            .knots
            .partition_point(|knot| knot.0 < tone)
            .clamp(1, self.knots.len() - 1);
        let ((x0, y0), (x1, y1)) = (self.knots[right - 1], self.knots[right]);
        let (width, u) = (x1 - x0, (tone - x0) / (x1 - x0));
        let v = 1.0 - u;
        y0 * v * v * (1.0 + 2.0 * u)
            + y1 * u * u * (1.0 + 2.0 * v)
            + width * u * v * (self.slopes[right - 1] * v - self.slopes[right] * u)
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
        if before > 0.0 && after > 0.0 {
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
