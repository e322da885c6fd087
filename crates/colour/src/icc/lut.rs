//! Lookup tables of a profile as they stand in the file: `mft1`, `mft2`, `mAB ` and `mBA `.
//!
//! Source: ICC.1:2022, 10.10 to 10.13. Sizes are compared with the file before anything is reserved.

use super::ProfileProblem;
use super::bytes::{Bytes, shown};
use super::curve::{Curve, octets, read_curves, words};

/// The most nodes of a table: 33 to the power of four is far more than any usual profile has.
const MOST_NODES: usize = 2_000_000;

/// A table with its curves; what it means is up to its owner.
#[derive(Debug)]
pub(super) struct Lut {
    /// Curves before the nodes, one a channel.
    pub(super) first: Vec<Curve>,
    /// Nodes along each input channel; the last channel runs fastest.
    pub(super) sizes: Vec<usize>,
    /// Outputs of every node, 0 to 1.
    pub(super) values: Vec<f32>,
    /// Three curves and a matrix with its offsets between nodes and last curves.
    pub(super) middle: Option<Middle>,
    /// A matrix with its offsets and three curves between first curves and nodes.
    pub(super) before: Option<Middle>,
    /// Curves after the nodes, one a channel.
    pub(super) last: Vec<Curve>,
    /// The kind of table.
    pub(super) form: Form,
}

/// Curves and matrix of an `mAB ` or `mBA ` table.
#[derive(Debug, Clone)]
pub(super) struct Middle {
    pub(super) curves: Vec<Curve>,
    /// Three rows: three factors and an offset.
    pub(super) matrix: [[f64; 4]; 3],
}

/// The four kinds of table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Form {
    Eight,
    Sixteen,
    Pieces,
}

/// Channels in and out that the caller can use.
#[derive(Debug, Clone, Copy)]
pub(super) struct Channels {
    pub(super) inputs: usize,
    pub(super) outputs: usize,
}

/// Reads the table at `at`; `tag` is its name in messages.
pub(super) fn read_lut(
    bytes: &Bytes<'_>,
    at: usize,
    tag: &str,
    wanted: Channels,
) -> Result<Lut, ProfileProblem> {
    let form = bytes.signature(at, tag)?;
    let found = Channels {
        inputs: bytes.u8(at + 8, tag)?,
        outputs: bytes.u8(at + 9, tag)?,
    };
    if !matches!(&form, b"mft1" | b"mft2" | b"mAB " | b"mBA ") {
        let message = format!(
            "the table `{tag}` has the form `{}`; known are `mft1`, `mft2`, `mAB` and `mBA`",
            shown(form)
        );
        return Err(bytes.problem("profile-unknown-form", at, message, ""));
    }
    if (found.inputs, found.outputs) != (wanted.inputs, wanted.outputs) {
        let message = format!(
            "the table `{tag}` has {} channels in and {} out; {} and {} are needed",
            found.inputs, found.outputs, wanted.inputs, wanted.outputs
        );
        return Err(bytes.problem("profile-wrong-channels", at + 8, message, ""));
    }
    match &form {
        b"mft1" => read_eight(bytes, at, tag, wanted),
        b"mft2" => read_sixteen(bytes, at, tag, wanted),
        b"mAB " => read_pieces(bytes, at, tag, wanted),
        _ => read_pieces_back(bytes, at, tag, wanted),
    }
}

fn read_eight(
    bytes: &Bytes<'_>,
    at: usize,
    tag: &str,
    channels: Channels,
) -> Result<Lut, ProfileProblem> {
    let sizes = vec![bytes.u8(at + 10, tag)?; channels.inputs];
    let values = n_values(bytes, at + 10, tag, &sizes, channels.outputs)?;
    let nodes = at + 48 + 256 * channels.inputs;
    let tables = |at: usize, count: usize| {
        let entries = octets(bytes, at, 256 * count, tag)?;
        Ok(curves_of(&entries, 256))
    };
    Ok(Lut {
        first: tables(at + 48, channels.inputs)?,
        values: octets(bytes, nodes, values, tag)?,
        last: tables(nodes + values, channels.outputs)?,
        sizes,
        middle: None,
        before: None,
        form: Form::Eight,
    })
}

fn read_sixteen(
    bytes: &Bytes<'_>,
    at: usize,
    tag: &str,
    channels: Channels,
) -> Result<Lut, ProfileProblem> {
    let sizes = vec![bytes.u8(at + 10, tag)?; channels.inputs];
    let values = n_values(bytes, at + 10, tag, &sizes, channels.outputs)?;
    let entries = [
        entries_at(bytes, at + 48, tag)?,
        entries_at(bytes, at + 50, tag)?,
    ];
    let nodes = at + 52 + 2 * entries[0] * channels.inputs;
    let tables = |at: usize, entries: usize, count: usize| {
        let all = words(bytes, at, entries * count, tag)?;
        Ok(curves_of(&all, entries))
    };
    Ok(Lut {
        first: tables(at + 52, entries[0], channels.inputs)?,
        values: words(bytes, nodes, values, tag)?,
        last: tables(nodes + 2 * values, entries[1], channels.outputs)?,
        sizes,
        middle: None,
        before: None,
        form: Form::Sixteen,
    })
}

fn entries_at(bytes: &Bytes<'_>, at: usize, tag: &str) -> Result<usize, ProfileProblem> {
    let entries = bytes.u16(at, tag)?;
    if (2..=4096).contains(&entries) {
        return Ok(entries);
    }
    let message = format!("the curves of `{tag}` have {entries} entries; allowed are 2 to 4096");
    Err(bytes.problem("profile-table-size", at, message, ""))
}

fn curves_of(entries: &[f32], length: usize) -> Vec<Curve> {
    entries
        .chunks(length)
        .map(|curve| Curve::from_table(curve.to_vec()))
        .collect()
}

/// Nodes times outputs, refused when the file cannot hold them.
fn n_values(
    bytes: &Bytes<'_>,
    at: usize,
    tag: &str,
    sizes: &[usize],
    outputs: usize,
) -> Result<usize, ProfileProblem> {
    let nodes = sizes
        .iter()
        .try_fold(1_usize, |nodes, size| nodes.checked_mul(*size))
        .filter(|nodes| *nodes <= MOST_NODES);
    let steps = sizes.iter().map(usize::to_string).collect::<Vec<_>>();
    let steps = steps.join(" x ");
    let Some(nodes) = nodes else {
        let message =
            format!("the table `{tag}` has {steps} nodes, at most {MOST_NODES} are taken");
        return Err(bytes.problem("profile-too-large", at, message, ""));
    };
    if sizes.iter().any(|size| *size < 2) {
        let message = format!("the table `{tag}` has {steps} nodes; each channel needs 2 or more");
        return Err(bytes.problem("profile-table-size", at, message, ""));
    }
    Ok(nodes * outputs)
}

/// `mAB `: A curves, nodes, M curves, matrix, B curves.
fn read_pieces(
    bytes: &Bytes<'_>,
    at: usize,
    tag: &str,
    channels: Channels,
) -> Result<Lut, ProfileProblem> {
    let pieces = Pieces::read(bytes, at, tag)?;
    let (sizes, values) = pieces.nodes(channels)?;
    let middle = if pieces.m_curves == 0 && pieces.matrix == 0 {
        None
    } else {
        Some(Middle {
            curves: pieces.curves(pieces.m_curves, 3)?,
            matrix: pieces.matrix()?,
        })
    };
    Ok(Lut {
        first: pieces.curves(pieces.a_curves, channels.inputs)?,
        last: pieces.curves(pieces.b_curves, channels.outputs)?,
        sizes,
        values,
        middle,
        before: None,
        form: Form::Pieces,
    })
}

/// `mBA `: B curves, matrix, M curves, nodes, A curves.
fn read_pieces_back(
    bytes: &Bytes<'_>,
    at: usize,
    tag: &str,
    channels: Channels,
) -> Result<Lut, ProfileProblem> {
    let pieces = Pieces::read(bytes, at, tag)?;
    let (sizes, values) = pieces.nodes(channels)?;
    let before = if pieces.m_curves == 0 && pieces.matrix == 0 {
        None
    } else {
        Some(Middle {
            curves: pieces.curves(pieces.m_curves, 3)?,
            matrix: pieces.matrix()?,
        })
    };
    Ok(Lut {
        first: pieces.curves(pieces.b_curves, channels.inputs)?,
        last: pieces.curves(pieces.a_curves, channels.outputs)?,
        sizes,
        values,
        middle: None,
        before,
        form: Form::Pieces,
    })
}

/// Offsets of the pieces from the start of their table; 0 stands for none.
struct Pieces<'a> {
    bytes: &'a Bytes<'a>,
    tag: &'a str,
    at: usize,
    b_curves: usize,
    matrix: usize,
    m_curves: usize,
    nodes: usize,
    a_curves: usize,
}

impl<'a> Pieces<'a> {
    fn read(bytes: &'a Bytes<'a>, at: usize, tag: &'a str) -> Result<Self, ProfileProblem> {
        let offset = |i: usize| bytes.u32(at + 12 + 4 * i, tag);
        Ok(Self {
            bytes,
            tag,
            at,
            b_curves: offset(0)?,
            matrix: offset(1)?,
            m_curves: offset(2)?,
            nodes: offset(3)?,
            a_curves: offset(4)?,
        })
    }

    fn curves(&self, offset: usize, count: usize) -> Result<Vec<Curve>, ProfileProblem> {
        if offset == 0 {
            Ok(vec![Curve::Identity; count])
        } else {
            read_curves(self.bytes, self.at.saturating_add(offset), count)
        }
    }

    fn matrix(&self) -> Result<[[f64; 4]; 3], ProfileProblem> {
        let mut matrix = [
            [1.0, 0.0, 0.0, 0.0],
            [0.0, 1.0, 0.0, 0.0],
            [0.0, 0.0, 1.0, 0.0],
        ];
        if self.matrix == 0 {
            return Ok(matrix);
        }
        let at = self.at.saturating_add(self.matrix);
        for (i, row) in matrix.iter_mut().enumerate() {
            for (j, value) in row.iter_mut().enumerate() {
                // Nine factors row by row, then the three offsets.
                let place = if j < 3 { 3 * i + j } else { 9 + i };
                *value = self.bytes.fixed(at.saturating_add(4 * place), self.tag)?;
            }
        }
        Ok(matrix)
    }

    fn nodes(&self, channels: Channels) -> Result<(Vec<usize>, Vec<f32>), ProfileProblem> {
        let (bytes, tag) = (self.bytes, self.tag);
        if self.nodes == 0 {
            let message = format!("the table `{tag}` has no nodes");
            return Err(bytes.problem("profile-table-size", self.at + 24, message, ""));
        }
        let at = self.at.saturating_add(self.nodes);
        let head = bytes.part(at, 20, tag)?;
        let sizes: Vec<usize> = head[..channels.inputs]
            .iter()
            .map(|n| usize::from(*n))
            .collect();
        let count = n_values(bytes, at, tag, &sizes, channels.outputs)?;
        let values = match head[16] {
            1 => octets(bytes, at + 20, count, tag)?,
            2 => words(bytes, at + 20, count, tag)?,
            other => {
                let message =
                    format!("the nodes of `{tag}` have {other} bytes a value; known are 1 and 2");
                return Err(bytes.problem("profile-unknown-form", at + 16, message, ""));
            }
        };
        Ok((sizes, values))
    }
}
