//! The lossless filters of streams, each reading from the one before it. Source: ISO 32000-2, 7.4.2 to 7.4.5.

use std::io::{BufRead, Read, Result};
use std::rc::Rc;

use flate2::{Decompress, FlushDecompress, Status};
use hayro_syntax::object::Dict;
use weezl::{BitOrder, LzwStatus, decode::Decoder};

use super::unpack::Log;

/// The next byte that is no blank.
fn byte(source: &mut impl BufRead) -> Result<Option<u8>> {
    loop {
        let Some(&byte) = source.fill_buf()?.first() else {
            return Ok(None);
        };
        source.consume(1);
        if !matches!(byte, 0 | b'\t' | b'\n' | 12 | b'\r' | b' ') {
            return Ok(Some(byte));
        }
    }
}

/// Fills a buffer byte by byte until the maker has no more.
fn filled(buffer: &mut [u8], mut next: impl FnMut() -> Result<Option<u8>>) -> Result<usize> {
    for (at, into) in buffer.iter_mut().enumerate() {
        match next()? {
            Some(byte) => *into = byte,
            None => return Ok(at),
        }
    }
    Ok(buffer.len())
}

/// Two digits a byte.
pub(super) struct AsciiHex<R> {
    source: R,
    is_over: bool,
}

impl<R: BufRead> AsciiHex<R> {
    pub(super) fn new(source: R) -> Self {
        Self {
            source,
            is_over: false,
        }
    }

    /// Anything that is no digit is passed over; `>` ends the data.
    fn digit(&mut self) -> Result<Option<u8>> {
        while !self.is_over {
            match byte(&mut self.source)? {
                None | Some(b'>') => self.is_over = true,
                Some(found) => {
                    if let Some(digit) = char::from(found).to_digit(16) {
                        return Ok(Some(digit as u8));
                    }
                }
            }
        }
        Ok(None)
    }
}

impl<R: BufRead> Read for AsciiHex<R> {
    fn read(&mut self, buffer: &mut [u8]) -> Result<usize> {
        filled(buffer, || {
            let Some(high) = self.digit()? else {
                return Ok(None);
            };
            let low = self.digit()?.unwrap_or(0);
            Ok(Some(high << 4 | low))
        })
    }
}

/// Five letters for four bytes.
pub(super) struct Ascii85<R> {
    source: R,
    ready: [u8; 4],
    /// Which of them are still to be given.
    left: std::ops::Range<usize>,
    is_over: bool,
}

impl<R: BufRead> Ascii85<R> {
    pub(super) fn new(source: R) -> Self {
        Self {
            source,
            ready: [0; 4],
            left: 0..0,
            is_over: false,
        }
    }

    fn group(&mut self) -> Result<()> {
        let (mut value, mut count) = (0_u32, 0);
        while !self.is_over && count < 5 {
            match byte(&mut self.source)? {
                None | Some(b'~') => self.is_over = true,
                Some(b'z') if count == 0 => {
                    (self.ready, self.left) = ([0; 4], 0..4);
                    return Ok(());
                }
                Some(found @ b'!'..=b'u') => {
                    value = value.wrapping_mul(85).wrapping_add(u32::from(found - b'!'));
                    count += 1;
                }
                Some(_) => {}
            }
        }
        // A last group of n letters stands for n - 1 bytes.
        for _ in count..5 {
            value = value.wrapping_mul(85).wrapping_add(84);
        }
        (self.ready, self.left) = (value.to_be_bytes(), 0..usize::saturating_sub(count, 1));
        Ok(())
    }
}

impl<R: BufRead> Read for Ascii85<R> {
    fn read(&mut self, buffer: &mut [u8]) -> Result<usize> {
        filled(buffer, || {
            while self.left.is_empty() && !self.is_over {
                self.group()?;
            }
            Ok(self.left.next().map(|at| self.ready[at]))
        })
    }
}

/// Runs of alike bytes.
pub(super) struct RunLength<R> {
    source: R,
    /// Bytes left of the run, and its byte if they are alike.
    run: (usize, Option<u8>),
    is_over: bool,
}

impl<R: BufRead> RunLength<R> {
    pub(super) fn new(source: R) -> Self {
        Self {
            source,
            run: (0, None),
            is_over: false,
        }
    }

    fn raw(&mut self) -> Result<Option<u8>> {
        let byte = self.source.fill_buf()?.first().copied();
        self.source.consume(usize::from(byte.is_some()));
        Ok(byte)
    }
}

impl<R: BufRead> Read for RunLength<R> {
    fn read(&mut self, buffer: &mut [u8]) -> Result<usize> {
        if self.is_over || buffer.is_empty() {
            return Ok(0);
        }
        if self.run.0 == 0 {
            self.run = match self.raw()? {
                Some(length @ 0..=127) => (usize::from(length) + 1, None),
                Some(length @ 129..) => (257 - usize::from(length), self.raw()?),
                _ => (0, None),
            };
        }
        let most = buffer.len().min(self.run.0);
        let found = match self.run.1 {
            Some(byte) => {
                buffer[..most].fill(byte);
                most
            }
            None => self.source.read(&mut buffer[..most])?,
        };
        self.run.0 -= found;
        self.is_over = found == 0;
        Ok(found)
    }
}

/// Deflate, with or without the header of zlib; its checksum is not looked at.
pub(super) struct Inflate<R> {
    source: R,
    state: Decompress,
    is_begun: bool,
    is_over: bool,
    log: Rc<Log>,
}

impl<R: BufRead> Inflate<R> {
    pub(super) fn new(source: R, log: Rc<Log>) -> Self {
        Self {
            source,
            state: Decompress::new(false),
            is_begun: false,
            is_over: false,
            log,
        }
    }

    fn begin(&mut self) -> Result<()> {
        self.is_begun = true;
        if let [first, second, ..] = *self.source.fill_buf()? {
            let check = u16::from_be_bytes([first, second]);
            if first & 15 == 8 && check.is_multiple_of(31) && second & 32 == 0 {
                self.source.consume(2);
            }
        }
        Ok(())
    }
}

impl<R: BufRead> Read for Inflate<R> {
    fn read(&mut self, buffer: &mut [u8]) -> Result<usize> {
        if !self.is_begun {
            self.begin()?;
        }
        while !self.is_over && !buffer.is_empty() {
            let input = self.source.fill_buf()?;
            let is_dry = input.is_empty();
            let before = (self.state.total_in(), self.state.total_out());
            let done = self.state.decompress(input, buffer, FlushDecompress::None);
            let used = self.state.total_in() - before.0;
            let made = self.state.total_out() - before.1;
            self.source.consume(used as usize);
            let is_stuck = used == 0 && made == 0 && is_dry;
            match done {
                Ok(Status::StreamEnd) => self.is_over = true,
                Ok(_) if !is_stuck => {}
                _ => {
                    self.is_over = true;
                    self.log.is_damaged.set(true);
                }
            }
            if made > 0 {
                return Ok(made as usize);
            }
        }
        Ok(0)
    }
}

/// LZW with codes of up to twelve bits.
pub(super) struct Lzw<R> {
    source: R,
    state: Decoder,
    is_over: bool,
    log: Rc<Log>,
}

impl<R: BufRead> Lzw<R> {
    pub(super) fn new(source: R, parameters: &Dict<'_>, log: Rc<Log>) -> Self {
        // Codes grow one early unless that is said to be off.
        let state = match parameters.get::<i32>(b"EarlyChange") {
            Some(0) => Decoder::new(BitOrder::Msb, 8),
            _ => Decoder::with_tiff_size_switch(BitOrder::Msb, 8),
        };
        Self {
            source,
            state,
            is_over: false,
            log,
        }
    }
}

impl<R: BufRead> Read for Lzw<R> {
    fn read(&mut self, buffer: &mut [u8]) -> Result<usize> {
        while !self.is_over && !buffer.is_empty() {
            let input = self.source.fill_buf()?;
            let is_dry = input.is_empty();
            let done = self.state.decode_bytes(input, buffer);
            self.source.consume(done.consumed_in);
            let is_stuck = is_dry && done.consumed_out == 0;
            match done.status {
                Ok(LzwStatus::Done) => self.is_over = true,
                Ok(_) if !is_stuck => {}
                _ => {
                    self.is_over = true;
                    self.log.is_damaged.set(true);
                }
            }
            if done.consumed_out > 0 {
                return Ok(done.consumed_out);
            }
        }
        Ok(0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(mut source: impl Read) -> Vec<u8> {
        let mut bytes = Vec::new();
        source.read_to_end(&mut bytes).unwrap();
        bytes
    }

    #[test]
    fn letters_become_bytes() {
        assert_eq!(read(AsciiHex::new(&b"48 6f\n7 5>00"[..])), b"Hou");
        assert_eq!(read(AsciiHex::new(&b"487"[..])), b"Hp");
        assert_eq!(
            read(Ascii85::new(&b"87cURD]i,\"Ebo80~>"[..])),
            b"Hello World!"
        );
        assert_eq!(read(Ascii85::new(&b"z87cUR~>"[..])), b"\0\0\0\0Hell");
        assert_eq!(read(Ascii85::new(&b"87cURDZ~>"[..])), b"Hello");
    }

    #[test]
    fn runs_repeat_their_byte() {
        assert_eq!(
            read(RunLength::new(&[2, 1, 2, 3, 254, 9, 128, 7][..])),
            [1, 2, 3, 9, 9, 9]
        );
        assert_eq!(read(RunLength::new(&[5, 1, 2][..])), [1, 2]);
    }

    #[test]
    fn deflate_keeps_what_comes_before_damage() {
        use flate2::{Compression, write::ZlibEncoder};
        use std::io::Write;
        let plain: Vec<u8> = (0..60_000_u32).map(|i| ((i * i) >> 7) as u8).collect();
        let mut encoder = ZlibEncoder::new(Vec::new(), Compression::fast());
        encoder.write_all(&plain).unwrap();
        let packed = encoder.finish().unwrap();
        let log = Rc::new(Log::default());
        assert_eq!(read(Inflate::new(&packed[..], Rc::clone(&log))), plain);
        // Without its header, and with a checksum that is wrong.
        assert_eq!(
            read(Inflate::new(&packed[2..packed.len() - 4], Rc::clone(&log))),
            plain
        );
        assert!(!log.is_damaged.get());
        let cut = read(Inflate::new(&packed[..packed.len() / 2], Rc::clone(&log)));
        assert!(
            cut.len() > 5_000 && plain.starts_with(&cut),
            "{}",
            cut.len()
        );
        assert!(log.is_damaged.get());
    }

    #[test]
    fn lzw_heeds_its_early_change() {
        // The example of ISO 32000-2, 7.4.4.2.
        let packed = [0x80, 0x0b, 0x60, 0x50, 0x22, 0x0c, 0x0c, 0x85, 0x01];
        let log = Rc::new(Log::default());
        let lzw = Lzw::new(&packed[..], &Dict::empty(), log);
        assert_eq!(read(lzw), [45, 45, 45, 45, 45, 65, 45, 45, 45, 66]);
    }
}
