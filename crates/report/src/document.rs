//! What a command has to say, before anybody decides how it looks.

use inkset_units::{Currency, Money};

/// A page of headings, remarks and tables.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Document {
    /// From top to bottom.
    pub blocks: Vec<Block>,
}

impl Document {
    /// Adds a heading.
    pub fn heading(&mut self, text: impl Into<String>) {
        self.blocks.push(Block::Heading(text.into()));
    }

    /// Adds a paragraph.
    pub fn text(&mut self, text: impl Into<String>) {
        self.blocks.push(Block::Text(text.into()));
    }

    /// Adds a list, unless it is empty.
    pub fn list(&mut self, items: Vec<String>) {
        if !items.is_empty() {
            self.blocks.push(Block::List(items));
        }
    }

    /// Adds a table, unless it has no rows.
    pub fn table(&mut self, table: Table) {
        if !table.rows.is_empty() {
            self.blocks.push(Block::Table(table));
        }
    }

    /// Adds text whose line breaks and columns matter, such as a sketch of a sheet.
    pub fn sketch(&mut self, text: impl Into<String>) {
        self.blocks.push(Block::Sketch(text.into()));
    }
}

/// One piece of a document.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    /// A heading.
    Heading(String),
    /// A paragraph.
    Text(String),
    /// Remarks, one line or more each.
    List(Vec<String>),
    /// A table.
    Table(Table),
    /// Text in fixed columns.
    Sketch(String),
}

/// A table of values; how a value looks is the writer's business.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Table {
    /// From left to right.
    pub columns: Vec<Column>,
    /// From top to bottom; each has as many cells as there are columns.
    pub rows: Vec<TableRow>,
}

impl Table {
    /// An empty table with these columns.
    pub fn new(columns: Vec<Column>) -> Self {
        Self {
            columns,
            rows: Vec::new(),
        }
    }

    /// Adds a row of the body.
    pub fn row(&mut self, cells: Vec<Cell>) {
        self.rows.push(TableRow {
            kind: RowKind::Body,
            cells,
        });
    }

    /// Adds a row that sums up what stands above.
    pub fn total(&mut self, cells: Vec<Cell>) {
        self.rows.push(TableRow {
            kind: RowKind::Total,
            cells,
        });
    }
}

/// A column of a table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Column {
    /// Its title.
    pub title: String,
    /// Where its cells stand.
    pub align: Align,
}

impl Column {
    /// A column of words.
    pub fn words(title: impl Into<String>) -> Self {
        Self {
            title: title.into(),
            align: Align::Left,
        }
    }

    /// A column of figures.
    pub fn figures(title: impl Into<String>) -> Self {
        Self {
            title: title.into(),
            align: Align::Right,
        }
    }
}

/// Where the cells of a column stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Align {
    /// Words.
    Left,
    /// Figures.
    Right,
}

/// A row of a table.
#[derive(Debug, Clone, PartialEq)]
pub struct TableRow {
    /// What the row is.
    pub kind: RowKind,
    /// One for each column.
    pub cells: Vec<Cell>,
}

/// What a row is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RowKind {
    /// One entry.
    Body,
    /// The sum of the entries above.
    Total,
}

/// A value in a table.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// Nothing to say.
    Empty,
    /// Words.
    Text(String),
    /// A whole number.
    Count(u64),
    /// An amount.
    Money(Money, Currency),
    /// An amount that is added to another.
    Difference(Money, Currency),
    /// ΔE00, to two decimals.
    DeltaE(f64),
    /// A number with its decimals.
    Number(f64, usize),
    /// Several values under one another.
    Stack(Vec<Cell>),
}

impl Cell {
    /// Words.
    pub fn text(text: impl Into<String>) -> Self {
        Self::Text(text.into())
    }
}
