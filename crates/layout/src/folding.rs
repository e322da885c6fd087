//! Where the pages of a folded section lie on its unfolded sheet, found by folding it.
//!
//! A sheet of columns × rows of pages is folded, in each step to equal strips laid behind the last one in turn, until one
//! stack of leaves is left; the stack is then numbered from the top. The last fold is the spine, on the left; heads are up.

/// One page on the unfolded sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct PagePlace {
    /// Page of the section, from 1.
    pub page: u32,
    /// Whether its head points to the upper edge of the sheet as seen.
    pub head_up: bool,
}

/// Pages of a section on its unfolded sheet, and its folds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Folding {
    /// Pages side by side.
    pub columns: u32,
    /// Pages head to foot.
    pub rows: u32,
    /// The front, row by row from the upper left.
    pub front: Vec<PagePlace>,
    /// The back as seen when the sheet is turned over sideways, row by row from the upper left.
    pub back: Vec<PagePlace>,
    /// Number of the fold at each line between two columns, from the left.
    pub column_folds: Vec<u32>,
    /// Number of the fold at each line between two rows, from above.
    pub row_folds: Vec<u32>,
}

/// One step: the sheet folded to so many equal strips.
#[derive(Debug, Clone, Copy)]
enum Step {
    /// Strips side by side.
    Columns(u32),
    /// Strips one above the other.
    Rows(u32),
}

impl Folding {
    /// Folds a section that is bound: to one spread by halves and thirds, the longer way first, then at the spine.
    ///
    /// Columns are even, or it is a single row that a milled spine holds.
    pub fn bound(columns: u32, rows: u32) -> Self {
        let mut steps = Vec::new();
        let (mut wide, mut high) = (columns, rows);
        while wide > 2 && wide.is_multiple_of(2) || high > 1 {
            // A page is taken to be 1 : √2, as most are; it only decides which fold comes first.
            let across_first = wide > 2 && f64::from(wide) > 1.42 * f64::from(high);
            if across_first {
                let strips = least_divisor(wide / 2);
                steps.push(Step::Columns(strips));
                wide /= strips;
            } else {
                let strips = least_divisor(high);
                steps.push(Step::Rows(strips));
                high /= strips;
            }
        }
        if wide > 1 {
            steps.push(Step::Columns(wide));
        }
        Self::folded(columns, rows, &steps)
    }

    /// Folds a leaflet: first across to one row, then in parallel, panel behind panel.
    pub fn leaflet(columns: u32, rows: u32) -> Self {
        let mut steps = Vec::new();
        if rows > 1 {
            steps.push(Step::Rows(rows));
        }
        if columns > 1 {
            steps.push(Step::Columns(columns));
        }
        Self::folded(columns, rows, &steps)
    }

    fn folded(columns: u32, rows: u32, steps: &[Step]) -> Self {
        let mut sheet = Stacks::flat(columns, rows);
        let mut folding = Self {
            columns,
            rows,
            front: vec![PagePlace::default(); (columns * rows) as usize],
            back: vec![PagePlace::default(); (columns * rows) as usize],
            column_folds: vec![0; columns.saturating_sub(1) as usize],
            row_folds: vec![0; rows.saturating_sub(1) as usize],
        };
        let mut folds = 0;
        for step in steps {
            match *step {
                Step::Columns(strips) => {
                    sheet = sheet.fold_columns(strips);
                    let lines = (columns, strips, folds);
                    number_lines(&mut folding.column_folds, lines, sheet.columns);
                    folds += strips - 1;
                }
                Step::Rows(strips) => {
                    sheet = sheet.fold_rows(strips);
                    let lines = (rows, strips, folds);
                    number_lines(&mut folding.row_folds, lines, sheet.rows);
                    folds += strips - 1;
                }
            }
        }
        folding.number_pages(&sheet.cells[0]);
        folding
    }

    fn number_pages(&mut self, leaves: &[Leaf]) {
        for (below, leaf) in leaves.iter().enumerate() {
            let upper = 2 * below as u32 + 1;
            let (front, back) = if leaf.turned_over {
                (upper + 1, upper)
            } else {
                (upper, upper + 1)
            };
            let head_up = !leaf.head_down;
            let at = |column: u32| (leaf.row * self.columns + column) as usize;
            self.front[at(leaf.column)] = PagePlace {
                page: front,
                head_up,
            };
            self.back[at(self.columns - 1 - leaf.column)] = PagePlace {
                page: back,
                head_up,
            };
        }
    }
}

fn least_divisor(number: u32) -> u32 {
    (2..=number)
        .find(|divisor| number.is_multiple_of(*divisor))
        .unwrap_or(1)
}

/// Numbers the lines of the flat sheet that a step creased: those whose neighbours now lie in one strip.
fn number_lines(lines: &mut [u32], (flat, strips, before): (u32, u32, u32), strip: u32) {
    let folded_before = strip * strips;
    for (at, line) in lines.iter_mut().enumerate() {
        // A crease of this step lies at a multiple of the strip, but not at one of the sheet before the step.
        let position = at as u32 + 1;
        let within = position / strip % strips;
        if position.is_multiple_of(strip) && within > 0 {
            let layers_beside = flat / folded_before - 1 - position / folded_before;
            // Every other layer lies turned over, so that its creases come in the opposite order.
            let turned = !layers_beside.is_multiple_of(2);
            let from_base = if turned { within } else { strips - within };
            *line = before + from_base;
        }
    }
}

/// One leaf in a stack.
#[derive(Debug, Clone, Copy)]
struct Leaf {
    column: u32,
    row: u32,
    turned_over: bool,
    head_down: bool,
}

/// The sheet folded so far: stacks of leaves, each from the top.
struct Stacks {
    columns: u32,
    rows: u32,
    /// Row by row.
    cells: Vec<Vec<Leaf>>,
}

impl Stacks {
    fn flat(columns: u32, rows: u32) -> Self {
        let cells = (0..rows).flat_map(|row| (0..columns).map(move |column| (column, row)));
        let stack = |(column, row)| {
            vec![Leaf {
                column,
                row,
                turned_over: false,
                head_down: false,
            }]
        };
        Self {
            columns,
            rows,
            cells: cells.map(stack).collect(),
        }
    }

    fn at(&self, column: u32, row: u32) -> &[Leaf] {
        &self.cells[(row * self.columns + column) as usize]
    }

    /// Lays the strips of columns behind the rightmost one, each turned over once more than the one before.
    fn fold_columns(&self, strips: u32) -> Self {
        let columns = self.columns / strips;
        let mut stacks = Vec::new();
        for row in 0..self.rows {
            for column in 0..columns {
                let mut stack = Vec::new();
                for strip in 0..strips {
                    let turned = strip % 2 == 1;
                    let within = if turned { columns - 1 - column } else { column };
                    let from = (strips - 1 - strip) * columns + within;
                    lay(&mut stack, self.at(from, row), turned.then_some(false));
                }
                stacks.push(stack);
            }
        }
        Self {
            columns,
            rows: self.rows,
            cells: stacks,
        }
    }

    /// Lays the strips of rows behind the lowest one, each turned over once more than the one before.
    fn fold_rows(&self, strips: u32) -> Self {
        let rows = self.rows / strips;
        let mut stacks = Vec::new();
        for row in 0..rows {
            for column in 0..self.columns {
                let mut stack = Vec::new();
                for strip in 0..strips {
                    let turned = strip % 2 == 1;
                    let within = if turned { rows - 1 - row } else { row };
                    let from = (strips - 1 - strip) * rows + within;
                    lay(&mut stack, self.at(column, from), turned.then_some(true));
                }
                stacks.push(stack);
            }
        }
        Self {
            columns: self.columns,
            rows,
            cells: stacks,
        }
    }
}

/// Puts leaves below a stack; `over` turns them over, and says whether heads turn with them.
fn lay(stack: &mut Vec<Leaf>, leaves: &[Leaf], over: Option<bool>) {
    match over {
        None => stack.extend(leaves),
        Some(heads) => stack.extend(leaves.iter().rev().map(|leaf| Leaf {
            turned_over: !leaf.turned_over,
            head_down: leaf.head_down != heads,
            ..*leaf
        })),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pages(places: &[PagePlace]) -> Vec<u32> {
        places.iter().map(|place| place.page).collect()
    }

    #[test]
    fn sixteen_pages_lie_as_known() {
        // The sixteen-page right-angle fold of every imposition table: 5 12 9 8 head to head with 4 13 16 1.
        let folding = Folding::bound(4, 2);
        assert_eq!(pages(&folding.front), [5, 12, 9, 8, 4, 13, 16, 1]);
        assert_eq!(pages(&folding.back), [7, 10, 11, 6, 2, 15, 14, 3]);
        let heads: Vec<bool> = folding.front.iter().map(|p| p.head_up).collect();
        assert_eq!(heads, [false, false, false, false, true, true, true, true]);
        assert_eq!(folding.column_folds, [3, 1, 3]);
        assert_eq!(folding.row_folds, [2]);
    }

    #[test]
    fn eight_and_four_pages_lie_as_known() {
        let eight = Folding::bound(2, 2);
        assert_eq!(pages(&eight.front), [5, 4, 8, 1]);
        assert_eq!(pages(&eight.back), [3, 6, 2, 7]);
        let four = Folding::bound(2, 1);
        assert_eq!(pages(&four.front), [4, 1]);
        assert_eq!(pages(&four.back), [2, 3]);
        assert_eq!(four.column_folds, [1]);
    }

    #[test]
    fn thirds_are_folded_to_and_fro() {
        let twelve = Folding::bound(2, 3);
        assert_eq!(twelve.row_folds, [2, 1]);
        assert_eq!(twelve.column_folds, [3]);
        let mut all = pages(&twelve.front);
        all.extend(pages(&twelve.back));
        all.sort_unstable();
        assert_eq!(all, (1..=12).collect::<Vec<_>>());
        // Six pages in a row: the reader meets the panels from the right.
        let six = Folding::leaflet(3, 1);
        assert_eq!(pages(&six.front), [5, 4, 1]);
        assert_eq!(pages(&six.back), [2, 3, 6]);
    }

    #[test]
    fn spreads_share_a_leaf_in_bound_sections() {
        // Page p and page n + 1 - p lie side by side on the same side of the sheet: one piece of paper around the spine.
        for (columns, rows) in [
            (2, 1),
            (2, 2),
            (4, 1),
            (2, 3),
            (6, 1),
            (4, 2),
            (4, 3),
            (6, 2),
            (4, 4),
            (8, 2),
        ] {
            let folding = Folding::bound(columns, rows);
            let all = 2 * columns * rows;
            for side in [&folding.front, &folding.back] {
                for pair in side.chunks(2) {
                    assert_eq!(
                        pair[0].page + pair[1].page,
                        all + 1,
                        "{columns} × {rows}: {side:?}"
                    );
                    assert_eq!(pair[0].head_up, pair[1].head_up);
                    // The spread reads from left to right when its head is up.
                    let even_left = pair[0].page.is_multiple_of(2);
                    assert_eq!(even_left, pair[0].head_up, "{columns} × {rows}");
                }
            }
        }
    }

    #[test]
    fn every_line_is_folded_once() {
        for (columns, rows) in [(2, 1), (4, 2), (4, 4), (8, 2), (6, 2), (4, 3), (3, 1)] {
            let folding = Folding::bound(columns, rows);
            let lines = folding.column_folds.iter().chain(&folding.row_folds);
            assert!(lines.clone().all(|fold| *fold > 0), "{folding:?}");
        }
    }
}
