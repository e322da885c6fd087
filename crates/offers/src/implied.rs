//! Takes an offer apart: fixed part, run part and the price of an ink, with their uncertainty.
//!
//! A straight line, fixed + per 1,000, is laid through the quantities of each option by least squares in which every price
//! counts in proportion to itself, as the noise of prices does. The scatter is pooled over the supplier's options. The
//! uncertainty is plus and minus Student's t at 90 %. Source of the formulas: any textbook of weighted linear regression.

use inkset_spec::{OfferedOption, OfferedPrice};
use inkset_units::{Currency, Money};
use rust_decimal::Decimal;

use crate::student::t_quantile_95;

/// A figure with its uncertainty.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Measured {
    /// The figure.
    pub value: Money,
    /// Plus and minus, 90 % of the time; `None` when there are as many unknowns as prices. Zero when a line goes through
    /// every price.
    pub plus_minus: Option<Money>,
}

/// Fixed and run part of one option.
#[derive(Debug, Clone, PartialEq)]
pub struct ImpliedRates {
    /// Index of the option among those compared.
    pub option: usize,
    /// At no copies.
    pub fixed: Measured,
    /// For 1,000 copies.
    pub per_thousand: Measured,
    /// Smallest and largest quantity that it rests on; `None` when the offer itself states its rates.
    pub range: Option<(u64, u64)>,
    line: Line,
}

/// What a supplier's prices imply.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Implied {
    /// One for each option with two quantities or more.
    pub options: Vec<ImpliedRates>,
    /// Prices beyond the unknowns.
    pub degrees: usize,
    /// Standard deviation of the prices around their lines, relative to the price.
    scatter: f64,
    currency: Option<Currency>,
}

/// A price that was not quoted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Estimated {
    /// With the range that holds a quoted price 90 % of the time.
    pub price: Measured,
    /// Whether the quantity lies outside those that the estimate rests on.
    pub outside: bool,
}

/// A fitted line with the variances of its two parts and their covariance, each for a relative scatter of 1.
///
/// The line is money and decimal; its uncertainty is never charged and may be a float.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct Line {
    fixed: Decimal,
    slope: Decimal,
    var_fixed: f64,
    var_slope: f64,
    covariance: f64,
}

/// Residuals smaller than this share of a price are those of the arithmetic.
const EXACT: f64 = 1e-12;

/// Prices of one option: copies and net amounts.
type Points = Vec<(u64, Decimal)>;

impl Implied {
    /// Takes apart the options of one offer; each with its index and a way from own to net amounts.
    pub(crate) fn of<'o>(
        options: impl IntoIterator<Item = (usize, &'o OfferedOption)>,
        net: impl Fn(Money) -> Option<Money>,
        currency: Currency,
    ) -> Self {
        let mut implied = Self {
            currency: Some(currency),
            ..Self::default()
        };
        let mut squares = 0.0;
        for (at, option) in options {
            if let Some(rates) = stated(option, &net) {
                implied.add(at, rates, None);
                continue;
            }
            let Some(points) = points(option, &net) else {
                continue;
            };
            let Some((line, square)) = fit(&points) else {
                continue;
            };
            squares += square;
            implied.degrees += points.len() - 2;
            let range = points.first().zip(points.last());
            implied.add(at, line, range.map(|(low, high)| (low.0, high.0)));
        }
        implied.settle(squares);
        implied
    }

    fn add(&mut self, option: usize, line: Line, range: Option<(u64, u64)>) {
        let unknown = Measured {
            value: Money::ZERO,
            plus_minus: None,
        };
        self.options.push(ImpliedRates {
            option,
            fixed: unknown,
            per_thousand: unknown,
            range,
            line,
        });
    }

    /// With the pooled scatter known, tells every figure with its uncertainty.
    fn settle(&mut self, squares: f64) {
        if self.degrees > 0 {
            self.scatter = (squares / self.degrees as f64).sqrt();
        }
        for at in 0..self.options.len() {
            let rates = &self.options[at];
            let (line, stated) = (rates.line, rates.range.is_none());
            let fixed = self.measured(line.fixed, line.var_fixed, stated);
            let per_thousand = self.measured(line.slope, line.var_slope, stated);
            self.options[at].fixed = fixed;
            self.options[at].per_thousand = per_thousand;
        }
    }

    fn rounded(&self, value: Decimal) -> Money {
        let value = Money::new(value);
        self.currency
            .map_or(value, |currency| value.rounded(currency))
    }

    fn measured(&self, value: Decimal, variance: f64, stated: bool) -> Measured {
        let plus_minus = if stated {
            Some(0.0)
        } else {
            t_quantile_95(self.degrees).map(|t| t * self.scatter * variance.max(0.0).sqrt())
        };
        let decimals = self.currency.map_or(2, Currency::decimals);
        let plus_minus = plus_minus.and_then(|p| inkset_units::quantity(p, decimals));
        Measured {
            value: self.rounded(value),
            plus_minus: plus_minus.map(Money::new),
        }
    }

    fn rates(&self, option: usize) -> Option<&ImpliedRates> {
        self.options.iter().find(|rates| rates.option == option)
    }

    /// What one option asks more than another: fixed part and run part.
    pub fn difference(&self, with: usize, without: usize) -> Option<(Measured, Measured)> {
        let (with, without) = (self.rates(with)?, self.rates(without)?);
        let stated = with.range.is_none() && without.range.is_none();
        let (a, b) = (&with.line, &without.line);
        Some((
            self.measured(a.fixed - b.fixed, a.var_fixed + b.var_fixed, stated),
            self.measured(a.slope - b.slope, a.var_slope + b.var_slope, stated),
        ))
    }

    /// The price that the line gives for a quantity, with the range of a single price around it.
    pub fn estimate(&self, option: usize, copies: u64) -> Option<Estimated> {
        let rates = self.rates(option)?;
        let line = &rates.line;
        let price = line
            .fixed
            .checked_add(line.slope.checked_mul(thousands(copies))?)?;
        let (x, at) = (copies as f64 / 1_000.0, float(price)?);
        let of_line = line.var_fixed + 2.0 * line.covariance * x + line.var_slope * x * x;
        let variance = of_line.max(0.0) + at * at;
        Some(Estimated {
            price: self.measured(price, variance, rates.range.is_none()),
            outside: rates
                .range
                .is_some_and(|(low, high)| !(low..=high).contains(&copies)),
        })
    }
}

/// Rates that the offer states by itself.
fn stated(option: &OfferedOption, net: impl Fn(Money) -> Option<Money>) -> Option<Line> {
    let (none, thousand) = match option.price {
        OfferedPrice::Breaks(_) => return None,
        _ => (option.quoted(0)?, option.quoted(1_000)?),
    };
    Some(Line {
        fixed: net(none)?.amount(),
        slope: net(thousand - none)?.amount(),
        ..Line::default()
    })
}

fn points(option: &OfferedOption, net: impl Fn(Money) -> Option<Money>) -> Option<Points> {
    let OfferedPrice::Breaks(breaks) = &option.price else {
        return None;
    };
    let points = breaks
        .iter()
        .map(|one| net(one.total).map(|total| (one.copies, total.amount())));
    let points: Points = points.collect::<Option<_>>()?;
    let usable = points.len() >= 2 && points.iter().all(|(_, total)| !total.is_zero());
    usable.then_some(points)
}

/// The line through the points, and the sum of the squared relative residuals; `None` beyond 28 digits.
fn fit(points: &Points) -> Option<(Line, f64)> {
    let mut total = Decimal::ZERO;
    for (_, price) in points {
        total = total.checked_add(*price)?;
    }
    let mean = total.checked_div(Decimal::from(points.len()))?;
    let mut sums = [Decimal::ZERO; 5];
    for (copies, price) in points {
        let x = thousands(*copies);
        let share = mean.checked_div(*price)?;
        let w = share.checked_mul(share)?;
        let (wx, wy) = (w.checked_mul(x)?, w.checked_mul(*price)?);
        let terms = [w, wx, wx.checked_mul(x)?, wy, wy.checked_mul(x)?];
        for (sum, term) in sums.iter_mut().zip(terms) {
            *sum = sum.checked_add(term)?;
        }
    }
    let [sw, sx, sxx, sy, sxy] = sums;
    let spread = sw.checked_mul(sxx)?.checked_sub(sx.checked_mul(sx)?)?;
    let rise = sw.checked_mul(sxy)?.checked_sub(sx.checked_mul(sy)?)?;
    let slope = rise.checked_div(spread)?;
    let fixed = sy.checked_sub(slope.checked_mul(sx)?)?.checked_div(sw)?;
    let mean = float(mean)?;
    let scale = mean * mean / float(spread)?;
    let line = Line {
        fixed,
        slope,
        var_fixed: scale * float(sxx)?,
        var_slope: scale * float(sw)?,
        covariance: -scale * float(sx)?,
    };
    let mut squares = 0.0;
    for (copies, price) in points {
        let on_line = fixed.checked_add(slope.checked_mul(thousands(*copies))?)?;
        let off = float(price.checked_sub(on_line)?.checked_div(*price)?)?;
        if off.abs() > EXACT {
            squares += off * off;
        }
    }
    Some((line, squares))
}

fn thousands(copies: u64) -> Decimal {
    Decimal::from(copies) / Decimal::ONE_THOUSAND
}

fn float(value: Decimal) -> Option<f64> {
    f64::try_from(value).ok()
}
