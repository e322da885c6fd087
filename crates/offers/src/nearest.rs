//! Finds the rates nearest to a rate card that would reproduce an offer.
//!
//! A price is a sum of parts, each in proportion to one group of rates. The factors of the groups are those that make
//! Σ ((price reckoned − price asked) / (1 % of the price asked))² + Σ ((factor − 1) / spread)² smallest, none below a
//! hundredth: weighted least squares that stays at the card where the offer says nothing. The cheapest way to print may
//! change with the rates, so that prices are taken apart anew at the rates found, until they stay; what is told is what
//! the real costing makes of them. Own choice of the weights; all in decimals, so that it repeats on every machine.

use rust_decimal::Decimal;

use crate::student::t_quantile_95;

/// No rate goes below this share of the card's.
const LEAST: Decimal = Decimal::from_parts(1, 0, 0, false, 2);
/// How exactly a price is to be met, as its reciprocal: 1 %.
const EXACTNESS: Decimal = Decimal::ONE_HUNDRED;
/// How far a factor moves as easily as a price by 1 %: a quarter of the rate, and twice a rate that takes up what is left.
const SPREAD: Decimal = Decimal::from_parts(25, 0, 0, false, 2);
const SPREAD_OF_SPARE: Decimal = Decimal::TWO;
/// Most rounds of taking prices apart.
const ROUNDS: usize = 6;
/// Factors that move by less than this have settled.
const SETTLED: Decimal = Decimal::from_parts(1, 0, 0, false, 4);

/// A price taken apart at certain rates.
#[derive(Debug, Clone, PartialEq)]
pub struct TakenApart {
    /// What the costing makes it.
    pub total: Decimal,
    /// The share of each group of rates.
    pub shares: Vec<Decimal>,
}

/// What is fitted.
#[derive(Debug, Clone, Copy)]
pub struct Asked<'a> {
    /// Prices asked, above zero, in the order in which they are taken apart.
    pub prices: &'a [Decimal],
    /// Copies of each price.
    pub copies: &'a [u64],
    /// For each group of rates, whether it takes up what the others leave.
    pub spare: &'a [bool],
}

/// Factors of the groups of rates, and how well they reproduce what was asked.
#[derive(Debug, Clone, PartialEq)]
pub struct Nearest {
    /// One for each group; 1 = as on the card.
    pub factors: Vec<Decimal>,
    /// What the costing makes of each price.
    pub totals: Vec<Decimal>,
    /// Plus and minus of a price that was not asked, as a share of it, 90 % of the time: from leaving out each quantity in
    /// turn. `None` with a single quantity.
    pub plus_minus: Option<Decimal>,
}

/// Fits the factors; `apart` takes all prices apart at given factors. `Ok(None)` beyond 28 digits.
pub fn nearest<E>(
    asked: &Asked<'_>,
    mut apart: impl FnMut(&[Decimal]) -> Result<Vec<TakenApart>, E>,
) -> Result<Option<Nearest>, E> {
    let start = vec![Decimal::ONE; asked.spare.len()];
    let all = vec![true; asked.prices.len()];
    let Some((factors, rows)) = fitted(asked, &all, start, &mut apart)? else {
        return Ok(None);
    };
    let mut distinct = asked.copies.to_vec();
    distinct.sort_unstable();
    distinct.dedup();
    let mut squares = Decimal::ZERO;
    for copies in &distinct {
        let kept: Vec<bool> = asked.copies.iter().map(|c| c != copies).collect();
        let Some((_, rows)) = fitted(asked, &kept, factors.clone(), &mut apart)? else {
            return Ok(None);
        };
        for ((row, price), kept) in rows.iter().zip(asked.prices).zip(kept) {
            if !kept {
                let Some(square) = relative(row, *price).and_then(|off| off.checked_mul(off))
                else {
                    return Ok(None);
                };
                squares += square;
            }
        }
    }
    Ok(Some(Nearest {
        factors,
        totals: rows.into_iter().map(|row| row.total).collect(),
        plus_minus: plus_minus(squares, asked.prices.len(), distinct.len()),
    }))
}

/// Root of the mean square times Student's t; quantities, not prices, are independent.
fn plus_minus(squares: Decimal, prices: usize, quantities: usize) -> Option<Decimal> {
    let t = t_quantile_95(quantities.checked_sub(1)?)?;
    let mean = f64::try_from(squares).ok()? / prices as f64;
    inkset_units::quantity(t * mean.sqrt(), 6)
}

fn relative(row: &TakenApart, price: Decimal) -> Option<Decimal> {
    row.total.checked_sub(price)?.checked_div(price)
}

type Fitted = (Vec<Decimal>, Vec<TakenApart>);

/// The best factors met for the prices that are kept, and all prices taken apart there.
fn fitted<E>(
    asked: &Asked<'_>,
    kept: &[bool],
    start: Vec<Decimal>,
    apart: &mut impl FnMut(&[Decimal]) -> Result<Vec<TakenApart>, E>,
) -> Result<Option<Fitted>, E> {
    let mut factors = start;
    let mut best: Option<(Decimal, Fitted)> = None;
    for _ in 0..ROUNDS {
        let rows = apart(&factors)?;
        let (Some(badness), Some(next)) = (
            badness(asked, kept, (&factors, &rows)),
            solved(asked, kept, (&factors, &rows)),
        ) else {
            return Ok(best.map(|(_, fitted)| fitted));
        };
        let moved = next.iter().zip(&factors).map(|(a, b)| (*a - *b).abs());
        let settled = moved.max().is_none_or(|most| most < SETTLED);
        if best.as_ref().is_none_or(|(least, _)| badness < *least) {
            best = Some((badness, (factors, rows)));
        }
        if settled {
            break;
        }
        factors = next;
    }
    Ok(best.map(|(_, fitted)| fitted))
}

/// One over the spread of a group, squared.
fn stiffness(spare: bool) -> Decimal {
    let spread = if spare { SPREAD_OF_SPARE } else { SPREAD };
    Decimal::ONE / (spread * spread)
}

/// What is made smallest.
fn badness(
    asked: &Asked<'_>,
    kept: &[bool],
    (factors, rows): (&[Decimal], &[TakenApart]),
) -> Option<Decimal> {
    let mut sum = Decimal::ZERO;
    for (factor, spare) in factors.iter().zip(asked.spare) {
        let off = *factor - Decimal::ONE;
        sum = sum.checked_add(off.checked_mul(off)?.checked_mul(stiffness(*spare))?)?;
    }
    for ((row, price), _) in rows.iter().zip(asked.prices).zip(kept).filter(|(_, k)| **k) {
        let off = relative(row, *price)?.checked_mul(EXACTNESS)?;
        sum = sum.checked_add(off.checked_mul(off)?)?;
    }
    Some(sum)
}

/// The best factors if every price stays the sum of its shares.
fn solved(
    asked: &Asked<'_>,
    kept: &[bool],
    (factors, rows): (&[Decimal], &[TakenApart]),
) -> Option<Vec<Decimal>> {
    let n = factors.len();
    let mut matrix = vec![vec![Decimal::ZERO; n]; n];
    let mut right = vec![Decimal::ZERO; n];
    for (at, spare) in asked.spare.iter().enumerate() {
        matrix[at][at] = stiffness(*spare);
        right[at] = stiffness(*spare);
    }
    for ((row, price), _) in rows.iter().zip(asked.prices).zip(kept).filter(|(_, k)| **k) {
        let weight = EXACTNESS.checked_div(*price)?;
        // The share of a group at its rates on the card, and what is left for all of them.
        let units = row.shares.iter().zip(factors);
        let units = units.map(|(share, factor)| share.checked_div(*factor)?.checked_mul(weight));
        let units: Vec<Decimal> = units.collect::<Option<_>>()?;
        let shares: Decimal = row.shares.iter().sum();
        let left = price.checked_sub(row.total.checked_sub(shares)?)?;
        let left = left.checked_mul(weight)?;
        for (a, unit) in units.iter().enumerate() {
            right[a] = right[a].checked_add(unit.checked_mul(left)?)?;
            for (b, other) in units.iter().enumerate() {
                matrix[a][b] = matrix[a][b].checked_add(unit.checked_mul(*other)?)?;
            }
        }
    }
    at_least(&matrix, &right)
}

/// The smallest of ½ x'Mx − b'x with every x at least [`LEAST`], by active sets.
fn at_least(matrix: &[Vec<Decimal>], right: &[Decimal]) -> Option<Vec<Decimal>> {
    let n = right.len();
    let mut held = vec![false; n];
    let mut found = vec![LEAST; n];
    for _ in 0..4 * n + 4 {
        let free: Vec<usize> = (0..n).filter(|at| !held[*at]).collect();
        found = free_solution(matrix, right, &free)?;
        let lowest = free.iter().min_by_key(|at| found[**at]);
        if let Some(at) = lowest.filter(|at| found[**at] < LEAST) {
            held[*at] = true;
            continue;
        }
        // A held rate that would rather rise is let go.
        let pull = |at: usize| -> Option<Decimal> {
            let row = matrix[at].iter().zip(&found);
            let sum = row
                .map(|(m, x)| m.checked_mul(*x))
                .sum::<Option<Decimal>>()?;
            right[at].checked_sub(sum)
        };
        let pulls = (0..n)
            .filter(|at| held[*at])
            .map(|at| Some((pull(at)?, at)));
        let pulls: Vec<(Decimal, usize)> = pulls.collect::<Option<_>>()?;
        match pulls.into_iter().max() {
            Some((pull, at)) if pull > SETTLED => held[at] = false,
            _ => break,
        }
    }
    Some(found.into_iter().map(|x| x.max(LEAST)).collect())
}

/// Solves for the free unknowns by elimination; the others are at [`LEAST`].
fn free_solution(
    matrix: &[Vec<Decimal>],
    right: &[Decimal],
    free: &[usize],
) -> Option<Vec<Decimal>> {
    let mut found = vec![LEAST; right.len()];
    let mut rows: Vec<Vec<Decimal>> = Vec::new();
    for &at in free {
        let mut row: Vec<Decimal> = free.iter().map(|b| matrix[at][*b]).collect();
        let held = (0..right.len()).filter(|b| !free.contains(b));
        let held: Decimal = held.map(|b| matrix[at][b] * LEAST).sum();
        row.push(right[at].checked_sub(held)?);
        rows.push(row);
    }
    // The matrix is positive definite, so that no pivot vanishes and no exchange is needed.
    for pivot in 0..free.len() {
        let lead = rows[pivot].clone();
        for row in rows.iter_mut().skip(pivot + 1) {
            let times = row[pivot].checked_div(lead[pivot])?;
            for (cell, above) in row.iter_mut().zip(&lead).skip(pivot) {
                *cell = cell.checked_sub(times.checked_mul(*above)?)?;
            }
        }
    }
    for pivot in (0..free.len()).rev() {
        let mut value = *rows[pivot].last()?;
        for (at, &other) in free.iter().enumerate().skip(pivot + 1) {
            value = value.checked_sub(rows[pivot][at].checked_mul(found[other])?)?;
        }
        found[free[pivot]] = value.checked_div(rows[pivot][pivot])?;
    }
    Some(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn d(text: &str) -> Decimal {
        text.parse().unwrap()
    }

    /// Prices of a fixed and a run rate and of a spare one, kept apart from 10 that no rate pays.
    fn apart(factors: &[Decimal], copies: &[u64]) -> Vec<TakenApart> {
        let row = |copies: &u64| {
            let thousands = Decimal::from(*copies) / Decimal::ONE_THOUSAND;
            let shares = vec![
                d("100") * factors[0],
                d("20") * thousands * factors[1],
                d("5") * factors[2],
            ];
            TakenApart {
                total: d("10") + shares.iter().sum::<Decimal>(),
                shares,
            }
        };
        copies.iter().map(row).collect()
    }

    fn fit(prices: &[&str]) -> Nearest {
        let copies = [1_000, 2_000, 5_000];
        let prices: Vec<Decimal> = prices.iter().map(|p| d(p)).collect();
        let asked = Asked {
            prices: &prices,
            copies: &copies,
            spare: &[false, false, true],
        };
        let found = nearest(&asked, |f| Ok::<_, ()>(apart(f, &copies)));
        found.unwrap().unwrap()
    }

    #[test]
    fn card_that_made_the_offer_stays() {
        let found = fit(&["135", "155", "215"]);
        let off = found.factors.iter().map(|f| (*f - Decimal::ONE).abs());
        assert!(off.max().unwrap() < d("0.000001"), "{found:?}");
        assert_eq!(found.plus_minus, Some(Decimal::ZERO));
    }

    #[test]
    fn cheaper_offer_is_met_without_negative_rates() {
        // 10 + 62 fixed and 14 for 1,000: the fixed part falls by 33, more than the spare rate holds.
        let prices = ["86", "100", "142"];
        let found = fit(&prices);
        for (total, price) in found.totals.iter().zip(prices) {
            let off = (*total - d(price)).abs() / d(price);
            assert!(off < d("0.005"), "{total} for {price}");
        }
        assert!(found.factors.iter().all(|f| *f >= LEAST), "{found:?}");
        assert!((found.factors[1] - d("0.7")).abs() < d("0.02"), "{found:?}");
    }

    #[test]
    fn offer_below_what_no_rate_pays_is_told_apart() {
        let found = fit(&["4", "4", "4"]);
        assert!(found.factors.iter().all(|f| *f >= LEAST), "{found:?}");
        assert!(found.totals.iter().all(|t| *t > d("10")), "{found:?}");
    }

    #[test]
    fn prices_that_bend_are_less_sure() {
        let sure = |prices: &[&str]| fit(prices).plus_minus.unwrap();
        assert!(sure(&["120", "150", "215"]) > sure(&["134", "155", "216"]));
    }
}
