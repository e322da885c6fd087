//! Rectangles drawn in characters.

/// Characters are about twice as high as wide.
const ASPECT: f64 = 0.5;

/// A rectangle in mm from the upper left corner of the sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Rectangle {
    pub(crate) x: f64,
    pub(crate) y: f64,
    pub(crate) width: f64,
    pub(crate) height: f64,
}

const UP: u8 = 1;
const RIGHT: u8 = 2;
const DOWN: u8 = 4;
const LEFT: u8 = 8;

/// Draws a sheet and rectangles on it, `columns` characters wide.
pub(crate) fn sketch(sheet: (f64, f64), rectangles: &[Rectangle], columns: usize) -> String {
    let scale = (columns - 1) as f64 / sheet.0;
    let mut canvas = Canvas {
        columns,
        rows: (sheet.1 * scale * ASPECT).round().max(2.0) as usize + 1,
        scale,
        lines: Vec::new(),
    };
    canvas.lines = vec![0; canvas.columns * canvas.rows];
    canvas.draw(Rectangle {
        x: 0.0,
        y: 0.0,
        width: sheet.0,
        height: sheet.1,
    });
    for rectangle in rectangles {
        canvas.draw(*rectangle);
    }
    canvas.text()
}

struct Canvas {
    columns: usize,
    rows: usize,
    scale: f64,
    /// Directions in which a line leaves each character.
    lines: Vec<u8>,
}

impl Canvas {
    fn draw(&mut self, rectangle: Rectangle) {
        let column = |x: f64| ((x * self.scale).round() as usize).min(self.columns - 1);
        let row = |y: f64| ((y * self.scale * ASPECT).round() as usize).min(self.rows - 1);
        let (left, right) = (column(rectangle.x), column(rectangle.x + rectangle.width));
        let (top, bottom) = (row(rectangle.y), row(rectangle.y + rectangle.height));
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

    fn text(&self) -> String {
        let rows: Vec<String> = self
            .lines
            .chunks(self.columns)
            .map(|row| {
                row.iter()
                    .map(|lines| corner(*lines))
                    .collect::<String>()
                    .trim_end()
                    .to_owned()
            })
            .collect();
        rows.join("\n")
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
        let pieces = [0.0, 10.0].map(|x| Rectangle {
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
}
