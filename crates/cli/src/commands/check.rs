//! `inkset check`: every mistake and every assumption of a job and its rate card.

use crate::CliError;
use crate::args::CheckArgs;
use crate::artwork::measure_named;
use crate::conditions::conditions_of;
use crate::files::load;
use crate::output::Output;

pub(crate) fn check(args: &CheckArgs, out: &mut Output) -> Result<(), CliError> {
    let mut loaded = load(&args.files, out)?;
    let conditions = conditions_of(&mut loaded, out)?;
    measure_named(&mut loaded, &conditions, out)?;
    let (job, card) = (&loaded.job, &loaded.card);
    out.data(&format!(
        "{}: no mistakes. Parts {}, colours {}, pictures {}, quantities {}; presses {}, stocks {}. Values assumed {}.\n",
        job.title,
        job.parts.len(),
        job.colours.len(),
        job.pictures.len(),
        job.quantities.len(),
        card.presses.len(),
        card.stocks.len(),
        loaded.assumptions.len()
    ))
}
