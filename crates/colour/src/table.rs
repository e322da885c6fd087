//! Characterisation tables: what was printed, and what was measured on it.

use crate::LabD50;

/// One measured patch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Patch {
    /// Tones of cyan, magenta, yellow and black as the file asks for them, percent 0 to 100.
    pub tones: [f64; 4],
    /// Measured colour.
    pub lab: LabD50,
}

impl Patch {
    /// Returns whether the patch has exactly these tones.
    pub fn is_at(&self, tones: [f64; 4]) -> bool {
        order_of_tones(&self.tones, &tones).is_eq()
    }
}

/// What is known of a printing condition besides its colours.
#[derive(Debug, Clone, PartialEq)]
pub struct ConditionInfo {
    /// Short name used in job files, such as `coated-tr006`.
    pub name: String,
    /// One line for people.
    pub title: String,
    /// Other names that mean the same condition.
    pub aliases: Vec<String>,
    /// Kind of paper: `coated`, `light-coated`, `uncoated`, `newsprint`, or whatever a user's table says.
    pub paper_kind: String,
    /// Process and the standard that it claims, empty if unknown.
    pub process: String,
    /// Where the figures come from.
    pub source: String,
    /// On what terms the figures may be passed on.
    pub licence: String,
    /// Largest sum of the four tones, percent (100 to 400).
    pub ink_limit: f64,
    /// Largest tone of black, percent (0 to 100).
    pub black_limit: f64,
    /// Smallest tone that still prints, percent. Common practice, no source.
    pub smallest_dot: f64,
}

impl ConditionInfo {
    /// Describes a condition of which nothing but the name is known.
    ///
    /// Ink limit 300 % and smallest dot 2 %: common practice, no source.
    pub fn unknown(name: &str) -> Self {
        Self {
            name: name.to_owned(),
            title: name.to_owned(),
            aliases: Vec::new(),
            paper_kind: String::new(),
            process: String::new(),
            source: String::new(),
            licence: String::new(),
            ink_limit: 300.0,
            black_limit: 100.0,
            smallest_dot: 2.0,
        }
    }

    /// Returns whether `name` means this condition, whatever its case, spaces and hyphens.
    pub fn answers_to(&self, name: &str) -> bool {
        let wanted = fold_name(name);
        fold_name(&self.name) == wanted
            || self.aliases.iter().any(|alias| fold_name(alias) == wanted)
    }

    pub(crate) fn write_fields(&self, out: &mut String) {
        let numbers = [self.ink_limit, self.black_limit, self.smallest_dot].map(|v| v.to_string());
        let values = [
            &self.title,
            &self.aliases.join(", "),
            &self.paper_kind,
            &self.process,
            &self.source,
            &self.licence,
            &numbers[0],
            &numbers[1],
            &numbers[2],
        ];
        for (key, value) in FIELDS.iter().zip(values) {
            let one_line = value.replace(['\n', '\r'], " ");
            out.extend([key, ": ", &one_line, "\n"]);
        }
    }

    /// Takes one `key: value` pair; returns false for a key that is not ours or a figure out of range.
    pub(crate) fn set_field(&mut self, key: &str, value: &str) -> bool {
        let number = |low: f64, high: f64| {
            value
                .parse()
                .ok()
                .filter(|v: &f64| (low..=high).contains(v))
        };
        match key {
            "title" => value.clone_into(&mut self.title),
            "aliases" => {
                let names = value.split(',').map(|s| s.trim().to_owned());
                self.aliases = names.filter(|s| !s.is_empty()).collect();
            }
            "paper kind" => value.clone_into(&mut self.paper_kind),
            "process" => value.clone_into(&mut self.process),
            "source" => value.clone_into(&mut self.source),
            "licence" => value.clone_into(&mut self.licence),
            "ink limit" => return number(1.0, 400.0).map(|v| self.ink_limit = v).is_some(),
            "black limit" => return number(0.0, 100.0).map(|v| self.black_limit = v).is_some(),
            "smallest dot" => return number(0.0, 50.0).map(|v| self.smallest_dot = v).is_some(),
            _ => return false,
        }
        true
    }
}

/// The keys of the comment header, in the order in which they are written.
const FIELDS: [&str; 9] = [
    "title",
    "aliases",
    "paper kind",
    "process",
    "source",
    "licence",
    "ink limit",
    "black limit",
    "smallest dot",
];

/// A whole table: the patches and what is known of the condition.
#[derive(Debug, Clone, PartialEq)]
pub struct CharacterisationTable {
    /// What is known of the condition.
    pub info: ConditionInfo,
    /// The patches as measured, in the file's order; the same tones may stand there more than once.
    pub patches: Vec<Patch>,
}

impl CharacterisationTable {
    /// Returns every combination of tones once, repeated measurements averaged in Lab, sorted by tones.
    pub fn averaged(&self) -> Vec<Patch> {
        average(&self.patches)
    }

    /// Reads the project's own table format: a `# key: value` header, then rows of `C,M,Y,K,L,a,b`.
    ///
    /// The error is one line with the place in the file. Users' own tables are CGATS.17 text; see
    /// [`read_characterisation`](crate::read_characterisation).
    pub fn from_own_csv(name: &str, text: &str) -> Result<Self, String> {
        let mut info = ConditionInfo::unknown(name);
        let mut patches = Vec::new();
        for (index, line) in text.lines().enumerate() {
            let place = |what: &str| format!("{name}.csv:{}: {what}", index + 1);
            if let Some(comment) = line.strip_prefix("# ") {
                let (key, value) = comment
                    .split_once(": ")
                    .ok_or_else(|| place("expected `# key: value`"))?;
                if !info.set_field(key, value) {
                    return Err(place("unknown key or figure out of range"));
                }
            } else if line != "C,M,Y,K,L,a,b" && !line.is_empty() {
                patches.push(patch_from_row(line).ok_or_else(|| place("expected seven numbers"))?);
            }
        }
        Ok(Self { info, patches })
    }
}

fn patch_from_row(line: &str) -> Option<Patch> {
    let mut values = [0.0; 7];
    let mut fields = line.split(',');
    for value in &mut values {
        *value = fields
            .next()?
            .trim()
            .parse()
            .ok()
            .filter(|v: &f64| v.is_finite())?;
    }
    let [c, m, y, k, l, a, b] = values;
    let in_range = [c, m, y, k].iter().all(|t| (0.0..=100.0).contains(t));
    (fields.next().is_none() && in_range).then_some(Patch {
        tones: [c, m, y, k],
        lab: LabD50::new(l, a, b),
    })
}

fn average(patches: &[Patch]) -> Vec<Patch> {
    let mut sorted = patches.to_vec();
    sorted.sort_by(|p, q| order_of_tones(&p.tones, &q.tones));
    sorted
        .chunk_by(|p, q| p.is_at(q.tones))
        .map(|same| {
            let mean = |part: fn(&LabD50) -> f64| {
                same.iter().map(|p| part(&p.lab)).sum::<f64>() / same.len() as f64
            };
            Patch {
                tones: same[0].tones,
                lab: LabD50::new(mean(|v| v.l), mean(|v| v.a), mean(|v| v.b)),
            }
        })
        .collect()
}

fn order_of_tones(p: &[f64; 4], q: &[f64; 4]) -> std::cmp::Ordering {
    p.iter()
        .zip(q)
        .map(|(a, b)| a.total_cmp(b))
        .find(|o| o.is_ne())
        .unwrap_or(std::cmp::Ordering::Equal)
}

/// Folds a condition's name for comparison: letters and digits only, lower case.
fn fold_name(name: &str) -> String {
    name.chars()
        .filter(|c| c.is_alphanumeric())
        .flat_map(char::to_lowercase)
        .collect()
}
