//! A bounded view of a profile: every number is read with its place, and nothing beyond the end.

use super::ProfileProblem;

/// What to do about a file that ends too early.
const CUT_OFF: &str = "the file seems to be cut off or damaged; take it again from its source";

/// The whole file with its name.
#[derive(Clone, Copy)]
pub(super) struct Bytes<'a> {
    pub(super) file: &'a str,
    pub(super) all: &'a [u8],
}

impl<'a> Bytes<'a> {
    pub(super) fn problem(
        &self,
        code: &'static str,
        offset: usize,
        message: String,
        hint: &'static str,
    ) -> ProfileProblem {
        ProfileProblem {
            code,
            file: self.file.to_owned(),
            offset,
            message,
            hint,
        }
    }

    /// Returns `length` bytes from `at`; `what` is named when the file is shorter.
    pub(super) fn part(
        &self,
        at: usize,
        length: usize,
        what: &str,
    ) -> Result<&'a [u8], ProfileProblem> {
        at.checked_add(length)
            .and_then(|end| self.all.get(at..end))
            .ok_or_else(|| {
                let message = format!(
                    "{what} needs {length} bytes from byte {at}, the file has {}",
                    self.all.len()
                );
                self.problem("profile-cut-off", at.min(self.all.len()), message, CUT_OFF)
            })
    }

    fn array<const N: usize>(&self, at: usize, what: &str) -> Result<[u8; N], ProfileProblem> {
        let part = self.part(at, N, what)?;
        Ok(std::array::from_fn(|i| part[i]))
    }

    pub(super) fn u8(&self, at: usize, what: &str) -> Result<usize, ProfileProblem> {
        self.array::<1>(at, what).map(|[byte]| usize::from(byte))
    }

    pub(super) fn u16(&self, at: usize, what: &str) -> Result<usize, ProfileProblem> {
        self.array(at, what)
            .map(|bytes| usize::from(u16::from_be_bytes(bytes)))
    }

    pub(super) fn u32(&self, at: usize, what: &str) -> Result<usize, ProfileProblem> {
        self.array(at, what)
            .map(|bytes| u32::from_be_bytes(bytes) as usize)
    }

    /// Reads a signed number with sixteen bits behind the point.
    pub(super) fn fixed(&self, at: usize, what: &str) -> Result<f64, ProfileProblem> {
        self.array(at, what)
            .map(|bytes| f64::from(i32::from_be_bytes(bytes)) / 65536.0)
    }

    /// Reads a four-letter signature.
    pub(super) fn signature(&self, at: usize, what: &str) -> Result<[u8; 4], ProfileProblem> {
        self.array(at, what)
    }
}

/// A signature as it may be shown: control characters escaped.
pub(super) fn shown(signature: [u8; 4]) -> String {
    String::from_utf8_lossy(&signature)
        .trim_end()
        .escape_default()
        .to_string()
}
