//! How the solids of a press sit against the aims of the process standard that it claims.
//!
//! Figures from memory: ISO 12647-2:2004 with amendment 1 of 2007 (white backing, paper types 1, 2 and 4) and
//! ISO 12647-3:2005 (newspaper), with their deviation tolerance of 5 ΔE*ab for each solid. To be compared with the
//! standard itself before anything is decided by them.

use crate::{LabD50, PrintingCondition, ProcessInk};

/// Allowed deviation of a solid from its aim, ΔE*ab. From memory.
pub const AIM_TOLERANCE: f64 = 5.0;

/// Said with every aim.
pub const AIM_SOURCE: &str = "from memory, not from the standard's text";

/// The aims of one paper type of one standard.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Aims {
    /// Standard and paper type.
    pub name: &'static str,
    /// Colours of the solids in the order of the tones.
    pub solids: [LabD50; 4],
}

/// One solid against its aim.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SolidStanding {
    /// The ink.
    pub ink: ProcessInk,
    /// The aim.
    pub aim: LabD50,
    /// What the condition prints.
    pub printed: LabD50,
    /// Distance in CIELAB, ΔE*ab, as the standard measures it.
    pub delta_e_ab: f64,
}

impl SolidStanding {
    /// Returns whether the solid is within the tolerance, at the figure's one shown decimal.
    pub fn is_within(&self) -> bool {
        libm::round(self.delta_e_ab * 10.0) / 10.0 <= AIM_TOLERANCE
    }
}

const COATED: Aims = Aims {
    name: "ISO 12647-2:2004/Amd 1:2007, paper types 1 and 2",
    solids: [
        LabD50::new(55.0, -37.0, -50.0),
        LabD50::new(48.0, 74.0, -3.0),
        LabD50::new(89.0, -5.0, 93.0),
        LabD50::new(16.0, 0.0, 0.0),
    ],
};

const UNCOATED: Aims = Aims {
    name: "ISO 12647-2:2004/Amd 1:2007, paper type 4",
    solids: [
        LabD50::new(60.0, -26.0, -44.0),
        LabD50::new(56.0, 61.0, -1.0),
        LabD50::new(89.0, -4.0, 78.0),
        LabD50::new(31.0, 0.0, 1.0),
    ],
};

const NEWSPAPER: Aims = Aims {
    name: "ISO 12647-3:2005, newsprint",
    solids: [
        LabD50::new(57.0, -23.0, -27.0),
        LabD50::new(54.0, 44.0, -2.0),
        LabD50::new(78.0, -3.0, 58.0),
        LabD50::new(36.0, 1.0, 4.0),
    ],
};

/// Returns the aims that a condition claims in its process, such as `ISO 12647-2:2004, paper type 1`.
pub fn claimed_aims(process: &str) -> Option<&'static Aims> {
    let claim = process.to_ascii_lowercase();
    if claim.contains("12647-3") {
        return Some(&NEWSPAPER);
    }
    let after = claim.split("12647-2").nth(1)?;
    let paper = after.split("paper type").nth(1)?;
    match paper.chars().find(char::is_ascii_digit)? {
        '1' | '2' => Some(&COATED),
        '4' => Some(&UNCOATED),
        _ => None,
    }
}

/// Returns how each solid of a condition sits against the aims.
pub fn solids_against(condition: &PrintingCondition, aims: &Aims) -> Vec<SolidStanding> {
    let standing = |ink: ProcessInk| {
        let mut tones = [0.0; 4];
        tones[ink.index()] = 100.0;
        let (aim, printed) = (aims.solids[ink.index()], condition.lab(tones));
        let [l, a, b] = [printed.l - aim.l, printed.a - aim.a, printed.b - aim.b];
        SolidStanding {
            ink,
            aim,
            printed,
            delta_e_ab: (l * l + a * a + b * b).sqrt(),
        }
    };
    ProcessInk::ALL.into_iter().map(standing).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn claims_are_recognised() {
        for (process, wanted) in [
            ("ISO 12647-2:2004/Amd 1, paper types 1 and 2", Some(&COATED)),
            (
                "Offset according to ISO 12647-2, OFCOM, Paper Type 4",
                Some(&UNCOATED),
            ),
            ("ISO 12647-2:2013", None),
            ("ISO 12647-2:2004, paper type 5", None),
            ("ISO 12647-3:2005", Some(&NEWSPAPER)),
            ("our own press", None),
        ] {
            assert_eq!(claimed_aims(process), wanted, "{process}");
        }
    }
}
