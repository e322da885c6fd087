//! Rectangles drawn in characters.

use inkset_layout::PlacedPiece;

/// Characters are about twice as high as wide.
const ASPECT: f64 = 0.5;

const UP: u8 = 1;
const RIGHT: u8 = 2;
const DOWN: u8 = 4;
const LEFT: u8 = 8;

/// Draws a sheet and rectangles on it, `columns` characters wide.
pub(crate) fn sketch(sheet: (f64, f64), rectangles: &[PlacedPiece], columns: usize) -> String {
    sketch_marked(sheet, rectangles, &[], columns)
}

/// Something beside the rectangles; points in mm.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Mark {
    /// A level or upright line that gives way to those of rectangles.
    Dotted((f64, f64), (f64, f64)),
    /// A text around a point: the first that has room in so much width and height, or none.
    Text((f64, f64), (f64, f64), Vec<String>),
}

/// Draws a sheet, rectangles and marks on it, `columns` characters wide.
pub(crate) fn sketch_marked(
    sheet: (f64, f64),
    rectangles: &[PlacedPiece],
    marks: &[Mark],
    columns: usize,
) -> String {
    let canvas = Canvas::drawn(sheet, rectangles, columns);
    let mut characters: Vec<char> = canvas.lines.iter().map(|lines| corner(*lines)).collect();
    for mark in marks {
        if let Mark::Dotted(from, to) = mark {
            canvas.dot(&mut characters, *from, *to);
        }
    }
    for mark in marks {
        if let Mark::Text(at, room, texts) = mark {
            canvas.write(&mut characters, (*at, *room), texts);
        }
    }
    let rows = characters.chunks(canvas.columns);
    let rows: Vec<String> = rows
        .map(|row| row.iter().collect::<String>().trim_end().to_owned())
        .collect();
    rows.join("\n")
}

struct Canvas {
    columns: usize,
    rows: usize,
    scale: f64,
    /// Directions in which a line leaves each character.
    lines: Vec<u8>,
}

impl Canvas {
    fn drawn(sheet: (f64, f64), rectangles: &[PlacedPiece], columns: usize) -> Self {
        let scale = (columns - 1) as f64 / sheet.0;
        let mut canvas = Self {
            columns,
            rows: (sheet.1 * scale * ASPECT).round().max(2.0) as usize + 1,
            scale,
            lines: Vec::new(),
        };
        canvas.lines = vec![0; canvas.columns * canvas.rows];
        canvas.draw(PlacedPiece {
            x: 0.0,
            y: 0.0,
            width: sheet.0,
            height: sheet.1,
        });
        for rectangle in rectangles {
            canvas.draw(*rectangle);
        }
        canvas
    }

    fn column(&self, x: f64) -> usize {
        ((x * self.scale).round() as usize).min(self.columns - 1)
    }

    fn row(&self, y: f64) -> usize {
        ((y * self.scale * ASPECT).round() as usize).min(self.rows - 1)
    }

    fn dot(&self, characters: &mut [char], from: (f64, f64), to: (f64, f64)) {
        let (left, right) = (self.column(from.0), self.column(to.0));
        let (top, bottom) = (self.row(from.1), self.row(to.1));
        let dot = if left == right { '┊' } else { '┄' };
        for row in top.min(bottom)..=top.max(bottom) {
            for column in left.min(right)..=left.max(right) {
                let character = &mut characters[row * self.columns + column];
                if *character == ' ' {
                    *character = dot;
                }
            }
        }
    }

    /// Centres the first text that fits; beyond the sheet nothing is written.
    fn write(
        &self,
        characters: &mut [char],
        (at, room): ((f64, f64), (f64, f64)),
        texts: &[String],
    ) {
        let wide = room.0 * self.scale;
        let fits = |text: &&String| (text.chars().count() as f64) < wide;
        if room.1 * self.scale * ASPECT < 1.0 {
            return;
        }
        let Some(text) = texts.iter().find(fits) else {
            return;
        };
        let length = text.chars().count();
        let start = (at.0 * self.scale - (length - 1) as f64 / 2.0)
            .round()
            .max(0.0) as usize;
        let row = self.row(at.1);
        for (n, c) in text.chars().enumerate() {
            if start + n < self.columns {
                characters[row * self.columns + start + n] = c;
            }
        }
    }

    fn draw(&mut self, rectangle: PlacedPiece) {
        let (left, right) = (
            self.column(rectangle.x),
            self.column(rectangle.x + rectangle.width),
        );
        let (top, bottom) = (
            self.row(rectangle.y),
            self.row(rectangle.y + rectangle.height),
        );
        for at in left..right {
            for line in [top, bottom] {
                self.lines[line * self.columns + at] |= RIGHT;
                self.lines[line * self.columns + at + 1] |= LEFT;
            }
        }
        for at in top..bottom {
            for line in [left, right] {
                self.lines[at * self.columns + line] |= DOWN;
                self.lines[(at + 1) * self.columns + line] |= UP;
            }
        }
    }
}

const fn corner(lines: u8) -> char {
    // Indexed by the sum of directions: up 1, right 2, down 4, left 8.
    const CORNERS: [char; 16] = [
        ' ', '╵', '╶', '└', '╷', '│', '┌', '├', '╴', '┘', '─', '┴', '┐', '┤', '┬', '┼',
    ];
    CORNERS[lines as usize]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_pieces_share_their_edge() {
        let pieces = [0.0, 10.0].map(|x| PlacedPiece {
            x,
            y: 0.0,
            width: 10.0,
            height: 10.0,
        });
        assert_eq!(
            sketch((20.0, 10.0), &pieces, 9),
            "┌───┬───┐\n│   │   │\n└───┴───┘"
        );
    }

    #[test]
    fn marks_give_way_to_pieces() {
        let piece = PlacedPiece {
            x: 0.0,
            y: 0.0,
            width: 20.0,
            height: 10.0,
        };
        let text = |x, room: f64, texts: &[&str]| {
            let texts = texts.iter().map(|text| (*text).to_owned()).collect();
            Mark::Text((x, 5.0), (room, 10.0), texts)
        };
        let marks = [
            Mark::Dotted((10.0, 0.0), (10.0, 10.0)),
            text(5.0, 10.0, &["longer", "↑1"]),
            text(15.0, 1.0, &["2"]),
        ];
        assert_eq!(
            sketch_marked((20.0, 10.0), &[piece], &marks, 11),
            "┌─────────┐\n│ ↑1 ┊    │\n│    ┊    │\n└─────────┘"
        );
    }
}
