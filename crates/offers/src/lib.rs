//! Compares what suppliers offered for a job, like for like.
//!
//! Every offer is brought to the same quantities, net of tax, in the job's currency, with what it leaves out added at the
//! buyer's figure; then ranked, judged against the should-cost and against the other offers, and taken apart into fixed
//! part, run part and the price of an ink. Amounts stay exact until a total is rounded once, half to even; what is shown is
//! what is ranked, and equal totals share a rank. Method: `docs/comparing.md`. Knows no text formatting and no files.

mod basis;
mod choice;
mod comparison;
mod exposure;
mod flags;
mod implied;
mod ink_price;
mod items;
mod like;
mod nearest;
mod quotes;
mod rank;
mod robust;
mod split;
mod student;

pub use basis::{Basis, BasisOption, ColourStanding, OwnExtras};
pub use choice::{Award, Candidate, award};
pub use comparison::{ComparedOffer, ComparedOption, Comparison, OfferedPrices, compare};
pub use exposure::Exposure;
pub use flags::{Flag, FlagKind};
pub use implied::{Estimated, Implied, ImpliedRates, Measured};
pub use ink_price::InkPrice;
pub use items::{ItemComparison, ItemLine};
pub use like::{Adjustment, AdjustmentKind, LikePrice, Origin};
pub use nearest::{Asked, Nearest, TakenApart, nearest};
pub use quotes::{NetQuote, net_quotes};
pub use rank::{Ranked, ranks};
pub use robust::{Robust, Spread};
pub use split::{Split, splits};
pub use student::t_quantile_95;
