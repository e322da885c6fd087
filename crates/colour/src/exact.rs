//! The exact model of a characterisation table: area model plus residual surface.

use crate::LabD50;
use crate::neugebauer::Neugebauer;
use crate::residual::ResidualSurface;
use crate::table::Patch;

/// A printing condition as exactly as its table allows; slow, used to fill grids and to check them.
#[derive(Debug, Clone)]
pub struct ExactModel {
    pub(crate) areas: Neugebauer,
    pub(crate) residual: ResidualSurface,
}

impl ExactModel {
    /// Fits the model to averaged patches; `None` when the bare paper or one of the four solids is missing.
    pub fn fit(patches: &[Patch]) -> Option<Self> {
        let model = Neugebauer::fit(patches)?;
        let sites: Vec<[f64; 4]> = patches.iter().map(|p| model.areas(p.tones)).collect();
        let residuals: Vec<[f64; 3]> = patches
            .iter()
            .zip(&sites)
            .map(|(p, site)| {
                let (measured, modelled) = (p.lab.to_array(), model.lab_at_areas(*site).to_array());
                std::array::from_fn(|i| measured[i] - modelled[i])
            })
            .collect();
        let residual = ResidualSurface::fit(&sites, &residuals);
        Some(Self {
            areas: model,
            residual,
        })
    }

    /// Returns the fitted Yule-Nielsen exponent.
    pub fn exponent(&self) -> f64 {
        self.areas.exponent
    }

    /// Returns the colour at tones in percent, 0 to 100.
    pub fn lab(&self, tones: [f64; 4]) -> LabD50 {
        let areas = self.areas.areas(tones);
        let (model, left_over) = (
            self.areas.lab_at_areas(areas).to_array(),
            self.residual.at(areas),
        );
        LabD50::from_array(std::array::from_fn(|i| model[i] + left_over[i]))
    }
}
