//! Jobs, cards and plans built by hand, for tests and benchmarks.
//!
//! The card is the one of `docs/worked-example.md`; all its names and prices are invented examples.
#![allow(dead_code, reason = "every test and benchmark uses another part of it")]

use inkset_costing::{InkId, InkKind, InkSpec, PageInks, PartInks, PrintPlan};
use inkset_spec::{
    Click, Digital, Effect, FileRole, Finish, Finishing, FurtherOperation, Given, InkRate,
    InkRates, Job, Operation, OperationKind, PaperKind, PaperPrice, Part, Place, Press, Product,
    ProductKind, Profit, ProofRates, Proofs, RateCard, Role, RunRate, RunSpoilage, SheetGrain,
    Speed, SpoilageStep, Stock, VariationName,
};
use inkset_units::{Coverage, Currency, Gsm, Millimetres, Money, Percent, Size};

/// Where nothing was written.
pub(crate) const NOWHERE: Place = Place {
    file: FileRole::Job,
    start: 0,
    end: 1,
    line: 1,
    column: 1,
};

pub(crate) fn given<T>(value: T) -> Given<T> {
    Given::assumed(value)
}

pub(crate) fn money(text: &str) -> Money {
    Money::parse(text).unwrap()
}

fn mm(value: f64) -> Given<Millimetres> {
    given(Millimetres::new(value).unwrap())
}

pub(crate) fn percent(value: f64) -> Given<Percent> {
    given(Percent::new(value).unwrap())
}

pub(crate) fn size(width: f64, height: f64) -> Size {
    Size::from_mm(width, height).unwrap()
}

pub(crate) fn euro() -> Currency {
    Currency::from_code("EUR").unwrap()
}

pub(crate) fn press(name: &str, units: u32) -> Press {
    Press {
        name: given(name.to_owned()),
        units: given(units),
        perfecting: given(false),
        coater: given(false),
        sheeter: given(false),
        largest_sheet: given(size(740.0, 520.0)),
        smallest_sheet: given(size(350.0, 250.0)),
        lightest: given(Gsm::new(60.0).unwrap()),
        heaviest: given(Gsm::new(350.0).unwrap()),
        gripper: mm(10.0),
        tail: mm(5.0),
        side: mm(5.0),
        hourly_rate: given(money("120.00")),
        make_ready_minutes: given(10.0),
        make_ready_minutes_per_ink: given(2.0),
        make_ready_sheets: given(50),
        make_ready_sheets_per_ink: given(10),
        plate_change_minutes: given(4.0),
        plate_change_sheets: given(12),
        paper_change_minutes: None,
        paper_change_sheets: None,
        wash_up_minutes: given(15.0),
        wash_up_minutes_effect: given(30.0),
        plate_price: given(money("8.00")),
        speeds: vec![speed(Some(5_000), 6_000.0), speed(None, 9_000.0)],
        digital: None,
    }
}

/// A digital press for sheets of up to 330 × 488 mm that has the four process inks alone.
pub(crate) fn digital_press(name: &str) -> Press {
    let click = |inks, price| Click {
        inks: given(inks),
        price: given(money(price)),
    };
    Press {
        largest_sheet: given(size(488.0, 330.0)),
        smallest_sheet: given(size(300.0, 200.0)),
        gripper: mm(5.0),
        hourly_rate: given(money("60.00")),
        make_ready_minutes: given(6.0),
        make_ready_minutes_per_ink: given(0.0),
        make_ready_sheets: given(4),
        make_ready_sheets_per_ink: given(0),
        plate_change_minutes: given(0.0),
        plate_change_sheets: given(0),
        wash_up_minutes: given(0.0),
        wash_up_minutes_effect: given(0.0),
        plate_price: given(Money::ZERO),
        speeds: vec![speed(None, 2_000.0)],
        digital: Some(Digital {
            clicks: vec![click(1, "0.01"), click(4, "0.05")],
            click_sheet: None,
            solids: Vec::new(),
            run_spoilage: percent(1.0),
        }),
        ..press(name, 4)
    }
}

pub(crate) fn speed(up_to: Option<u64>, sheets_per_hour: f64) -> Speed {
    Speed {
        up_to,
        sheets_per_hour: given(sheets_per_hour),
    }
}

pub(crate) fn stock(name: &str) -> Stock {
    Stock {
        name: given(name.to_owned()),
        kind: given(PaperKind::Coated),
        gsm: given(Gsm::new(135.0).unwrap()),
        bulk: None,
        condition: given("coated".to_owned()),
        sheets: vec![given(size(450.0, 640.0))],
        reels: Vec::new(),
        grain: given(SheetGrain::Long),
        pack: given(250),
        price: given(PaperPrice::Tonne(money("1000.00"))),
    }
}

pub(crate) fn ink_rate(per_kg: &str, film: f64, loss: f64, smallest: f64) -> InkRate {
    InkRate {
        price_per_kg: given(money(per_kg)),
        film_coated: given(film),
        film_uncoated: given(film * 1.5),
        film_newsprint: given(film * 1.25),
        fixed_loss_kg: given(loss),
        smallest_order_kg: given(smallest),
    }
}

pub(crate) fn operation(
    set_up: &str,
    per_thousand: &str,
    set_up_spoilage: u64,
    run: f64,
) -> Operation {
    Operation {
        set_up: given(money(set_up)),
        set_up_minutes: given(0.0),
        hourly_rate: None,
        run: Some(RunRate::PerThousand(given(money(per_thousand)))),
        set_up_spoilage: given(set_up_spoilage),
        run_spoilage: percent(run),
    }
}

/// An operation that jobs ask for by name.
pub(crate) fn further(
    (name, kind): (&str, OperationKind),
    operation: &Operation,
) -> FurtherOperation {
    FurtherOperation {
        name: given(name.to_owned()),
        kind: given(kind),
        on: given(kind.usually_on()),
        operation: *operation,
        tool_price: None,
        tool_per_up: None,
        material: None,
        outside: None,
        inline_set_up: None,
        separates: false,
    }
}

pub(crate) fn finish(name: &str) -> Finish {
    Finish {
        operation: given(name.to_owned()),
        part: None,
        sides: given([true, false]),
        coverage: given(Coverage::FULL),
        difficulty: None,
        bundle: None,
    }
}

pub(crate) fn card() -> RateCard {
    let step = |up_to, share| SpoilageStep {
        up_to,
        percent: percent(share),
    };
    RateCard {
        title: "Example rates".to_owned(),
        example: true,
        currency: given(euro()),
        date: given("2026-01-01".to_owned()),
        presses: vec![press("four-unit", 4)],
        stocks: vec![stock("gloss-135")],
        inks: InkRates {
            process: ink_rate("9.00", 1.0, 0.1, 0.0),
            solid: ink_rate("24.00", 1.2, 0.2, 1.0),
            effects: vec![(Effect::Metallic, ink_rate("45.00", 2.0, 0.3, 1.0))],
            extended: Vec::new(),
            named: Vec::new(),
        },
        variation: None,
        run_spoilage: RunSpoilage {
            steps: vec![step(Some(2_500), 3.0), step(None, 2.0)],
        },
        finishing: Finishing {
            cut: Some(operation("6.00", "0.80", 10, 0.5)),
            fold: Some(operation("20.00", "6.00", 40, 1.0)),
            stitch: Some(operation("35.00", "18.00", 25, 1.0)),
            gather: Some(operation("5.00", "1.00", 20, 0.5)),
            sew: Some(operation("30.00", "4.00", 20, 0.5)),
            bind: Some(operation("80.00", "60.00", 30, 1.0)),
            insert: Some(operation("10.00", "8.00", 0, 0.5)),
            stitch_thickest: mm(6.0),
            bind_thinnest: mm(3.0),
            collate: Some(operation("15.00", "4.00", 50, 1.0)),
            pad: Some(operation("10.00", "300.00", 2, 1.0)),
            pack: Some(operation("3.00", "2.50", 0, 0.0)),
            further: Vec::new(),
        },
        sheeter: None,
        proof: ProofRates {
            form: None,
            drawdown: None,
        },
        carriage: Vec::new(),
        supplier: inkset_spec::Supplier::default(),
        profit: given(Profit::MarkUp(Percent::new(20.0).unwrap())),
        round_total_to: given(money("1")),
    }
}

pub(crate) fn part(name: &str, pages: u32) -> Part {
    Part {
        role: given(Role::Text),
        name: given(name.to_owned()),
        stock: given("gloss-135".to_owned()),
        pages: given(pages),
        leaves: given(1),
        bleed: mm(3.0),
        version_inks: Vec::new(),
        version_pages: Vec::new(),
        plates_of: None,
        changed_inks: Vec::new(),
        changed_pages: Vec::new(),
    }
}

pub(crate) fn job(kind: ProductKind, trim: Size, parts: Vec<Part>) -> Job {
    Job {
        title: "Example".to_owned(),
        client: None,
        currency: given(euro()),
        quantities: vec![given(5_000)],
        rates: None,
        overs: percent(0.0),
        delivery_tolerance: percent(5.0),
        variation: given(VariationName::Controlled),
        product: Product::new(given(kind), given(trim)),
        parts,
        colours: Vec::new(),
        pictures: Vec::new(),
        artwork: Vec::new(),
        overrides: Vec::new(),
        printing: Vec::new(),
        difficulty: given(1.0),
        finishes: Vec::new(),
        proofs: Proofs {
            forms: given(0),
            drawdowns: given(0),
        },
        deliveries: Vec::new(),
        queue: Vec::new(),
        versions: Vec::new(),
    }
}

pub(crate) fn flyer() -> Job {
    job(
        ProductKind::Flat,
        size(148.0, 210.0),
        vec![part("flyer", 2)],
    )
}

/// A stitched A5 booklet with a cover of 4 pages.
pub(crate) fn booklet(text_pages: u32) -> Job {
    let parts = vec![part("cover", 4), part("text", text_pages)];
    job(ProductKind::SaddleStitched, size(148.0, 210.0), parts)
}

pub(crate) const CYAN: u16 = 0;
pub(crate) const BLACK: u16 = 3;

/// The four process inks and then the given ones, as an ink list.
pub(crate) fn inks(more: &[(&str, InkKind)]) -> Vec<InkSpec> {
    let process = ["cyan", "magenta", "yellow", "black"]
        .into_iter()
        .enumerate();
    let process = process.map(|(n, name)| (name, InkKind::Process(n as u8)));
    process
        .chain(more.iter().copied())
        .map(|(name, kind)| InkSpec {
            name: name.to_owned(),
            kind,
            named_rate: None,
        })
        .collect()
}

pub(crate) fn page(page: u32, inks: &[(u16, f64)]) -> PageInks {
    PageInks {
        page,
        inks: inks
            .iter()
            .map(|(id, share)| (InkId(*id), *share))
            .collect(),
    }
}

/// The same inks on every page of a part.
pub(crate) fn all_pages(pages: u32, inks: &[(u16, f64)]) -> PartInks {
    PartInks {
        pages: (1..=pages).map(|n| page(n, inks)).collect(),
    }
}

pub(crate) fn plan(inks: Vec<InkSpec>, parts: Vec<PartInks>) -> PrintPlan {
    PrintPlan { inks, parts }
}

pub(crate) const FOUR: [(u16, f64); 4] = [(0, 0.2), (1, 0.2), (2, 0.2), (3, 0.1)];

/// Four inks on both sides of a flyer.
pub(crate) fn four_colour_flyer() -> PrintPlan {
    plan(inks(&[]), vec![all_pages(2, &FOUR)])
}

/// The flyer of `docs/worked-example.md`: four inks on both sides, orange on the front.
pub(crate) fn orange_flyer() -> PrintPlan {
    let front = [(0, 0.10), (1, 0.30), (2, 0.40), (3, 0.15), (4, 0.25)];
    let pages = vec![page(1, &front), page(2, &FOUR)];
    plan(
        inks(&[("orange", InkKind::Solid)]),
        vec![PartInks { pages }],
    )
}

/// Fields of a row of a CSV file; commas within quotes do not separate.
pub(crate) fn fields(line: &str) -> Vec<String> {
    let (mut fields, mut quoted) = (vec![String::new()], false);
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => fields.push(String::new()),
            c => fields.last_mut().unwrap().push(c),
        }
    }
    fields
}
