//! How much the plant's presses vary, from the rate card and from control-strip readings beside it.

use std::path::Path;

use inkset_colour::{Deviation, Variation};
use inkset_spec::{InkVariation, PlantVariation, Sources, read_readings};

use crate::CliError;
use crate::files::{Loaded, tell};
use crate::output::Output;

/// The plant's own variation; `None` when its rate card tells none.
pub(crate) fn variation_of(
    loaded: &Loaded,
    out: &mut Output,
) -> Result<Option<Variation>, CliError> {
    let Some(plant) = &loaded.card.variation else {
        return Ok(None);
    };
    let stated = stated(plant);
    let mut variation = stated.ok_or(CliError::Told)?;
    if let Some(file) = &plant.readings {
        let folder = loaded.rates_path.parent().unwrap_or(Path::new(""));
        measured(&folder.join(&file.value), &mut variation, out)?;
    }
    Ok(Some(variation))
}

fn stated(plant: &PlantVariation) -> Option<Variation> {
    let deviation = |ink: &InkVariation| {
        Deviation::new(ink.density.value, ink.tone.value, ink.correlation.value)
    };
    let [c, m, y, k, solid] = &plant.inks;
    Some(Variation {
        name: "plant".into(),
        source: "the plant's own figures, from its rate card".into(),
        inks: [deviation(c)?, deviation(m)?, deviation(y)?, deviation(k)?],
        solid: deviation(solid)?,
    })
}

/// Replaces the figures of the inks that were measured.
fn measured(path: &Path, variation: &mut Variation, out: &mut Output) -> Result<(), CliError> {
    let bytes = out.read(path)?;
    let reading = read_readings(&bytes);
    let name = path.display().to_string();
    let text = String::from_utf8_lossy(&bytes);
    let sources = Sources {
        table: Some((&name, &text)),
        ..Sources::default()
    };
    tell(&reading.notices, &sources, out)?;
    let mut count = 0;
    for ink in reading.value.ok_or(CliError::Told)? {
        let found = Deviation::new(ink.density_two_sd, ink.tone_two_sd, ink.correlation);
        let place = variation.inks.get_mut(ink.ink);
        *place.unwrap_or(&mut variation.solid) = found.ok_or(CliError::Told)?;
        count += ink.count;
    }
    variation.source = format!("measured: {count} control-strip readings").into();
    Ok(())
}
