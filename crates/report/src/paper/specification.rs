//! The job as a paper states it: so that two readers understand the same.

use inkset_layout::PrintPlan;
use inkset_spec::{
    Bundle, Delivery, Finish, FoldScheme, GrainWish, Job, PaperKind, Part, Portion, ProductKind,
    RateCard, Role, copies_of_versions, leaflet_panels, spine_mm,
};
use inkset_units::{Percent, Size};

use crate::document::{Cell, Column, Table};
use crate::figures::{grouped, listed};

/// Everything that is to be made, in two columns: what, and how.
pub(super) fn specification(job: &Job, card: &RateCard) -> Table {
    let mut table = Table::new(vec![Column::words("Item"), Column::words("Specified")]);
    let mut row = |item: &str, text: String| table.row(vec![Cell::text(item), Cell::text(text)]);
    row("Product", product(job, card));
    for part in &job.parts {
        let image = same_image(part).map_or(String::new(), |image| format!(", {image}"));
        row(
            &part.name.value,
            format!("{}{image}", part_text(job, part, card)),
        );
    }
    if !job.versions.is_empty() {
        row("Versions", versions(job));
    }
    row("Finishing", finishing(job));
    row("Proofs", proofs(job));
    row("Delivery", delivery(job));
    row("Copies over and under", leeway(job));
    table
}

/// `3: of 5 000 copies German 3 000, French 1 500, Italian 500; larger orders in proportion; on text, pages 1–16, black
/// changes`.
fn versions(job: &Job) -> String {
    let least = job.quantities.first().map_or(0, |q| q.value);
    let copies = copies_of_versions(&job.versions, least);
    let own = job.versions.iter().zip(copies);
    let own: Vec<String> = own
        .map(|(version, copies)| format!("{} {}", version.name.value, grouped(&copies.to_string())))
        .collect();
    let larger = if job.quantities.len() > 1 {
        "; larger orders in proportion"
    } else {
        ""
    };
    let changing = job.parts.iter().enumerate();
    let changing = changing.filter(|(_, part)| !part.version_inks.is_empty());
    let changing: Vec<String> = changing
        .map(|(at, part)| {
            let inks: Vec<&str> = part
                .version_inks
                .iter()
                .map(|ink| ink.value.as_str())
                .collect();
            format!(
                "{}: {}",
                place(job, at, &part.version_pages),
                inks.join(", ")
            )
        })
        .collect();
    format!(
        "{}, of {}: {}{larger}. What changes: {}",
        job.versions.len(),
        counted(least, "copy", "copies"),
        own.join(", "),
        changing.join("; ")
    )
}

/// `same image as white, from its plates, but with another plate for black on the front`.
fn same_image(part: &Part) -> Option<String> {
    let of = &part.plates_of.as_ref()?.value;
    let inks: Vec<String> = part
        .changed_inks
        .iter()
        .map(|ink| ink.value.clone())
        .collect();
    let where_changed = match part.changed_pages.as_slice() {
        _ if part.pages.value == 1 || part.changed_pages.len() > 1 => "",
        [1] => " on the front",
        _ => " on the back",
    };
    let changed = match inks.as_slice() {
        [] => String::new(),
        inks => format!(
            ", but with another plate for {}{where_changed}",
            listed(inks)
        ),
    };
    Some(format!("same image as {of}, from its plates{changed}"))
}

/// The kind of product for people.
pub(super) fn kind(job: &Job) -> &'static str {
    match job.product.kind.value {
        ProductKind::Flat => "Flat sheet",
        ProductKind::Folded => "Folded leaflet",
        ProductKind::SaddleStitched => "Saddle-stitched booklet",
        ProductKind::PerfectBound => "Perfect-bound book",
        ProductKind::SectionSewn => "Section-sewn book",
        ProductKind::Pad => "Pad, glued at one edge",
        ProductKind::Set if job.is_in_books() => "Sets in books, glued at one edge",
        ProductKind::Set => "Loose sets",
    }
}

fn product(job: &Job, card: &RateCard) -> String {
    let trim = job.product.trim.value;
    let mut text = format!("{}, trimmed to {trim} (width × height)", kind(job));
    if job.product.kind.value == ProductKind::Folded {
        let fold = match job.product.fold.value {
            FoldScheme::Parallel => "all folds side by side",
            FoldScheme::RightAngle => "folded at right angles",
        };
        if let Some(part) = job.parts.first() {
            let (columns, rows) = leaflet_panels(job, part);
            let open = Size {
                width: trim.width * f64::from(columns),
                height: trim.height * f64::from(rows),
            };
            text = format!("{text}, open {open}, {fold}");
        }
    }
    if job.product.kind.value.is_gathered()
        && let Some(mm) = spine_mm(job, card)
    {
        text = format!("{text}, spine {mm:.1} mm by the paper's bulk");
    }
    let grain = match job.product.grain.value {
        GrainWish::Any => return text,
        GrainWish::Spine => "parallel to the spine or the folds",
        GrainWish::Along => "along the longer edge",
        GrainWish::Across => "along the shorter edge",
    };
    format!("{text}; grain {grain}")
}

fn part_text(job: &Job, part: &Part, card: &RateCard) -> String {
    let (kind, pages) = (job.product.kind.value, part.pages.value);
    let pages = match (kind.is_folded(), pages) {
        (true, pages) => format!("{pages} pages"),
        (false, 1) => "printed on one side".to_owned(),
        (false, _) => "printed on both sides".to_owned(),
    };
    let leaves = if kind.has_leaves() {
        format!(
            "{} in each copy, ",
            counted(u64::from(part.leaves.value), "leaf", "leaves")
        )
    } else {
        String::new()
    };
    let role = match part.role.value {
        Role::Text => "",
        Role::Cover if part.name.value.eq_ignore_ascii_case("cover") => "",
        Role::Cover => "cover, ",
        Role::Endpapers => "endpapers, ",
        Role::Insert => "insert bound in, ",
        Role::LooseInsert => "insert laid in, ",
    };
    let bleed = part.bleed.value.mm();
    let bleed = if bleed > 0.0 {
        format!("bleed {bleed} mm on every edge")
    } else {
        "no bleed".to_owned()
    };
    format!("{role}{leaves}{pages}, {}, {bleed}", paper(part, card))
}

/// `matt-150: coated, 150 g/m²`.
pub(super) fn paper(part: &Part, card: &RateCard) -> String {
    let name = &part.stock.value;
    let Some(stock) = card.stocks.iter().find(|stock| stock.name.value == *name) else {
        return format!("paper {name}");
    };
    let surface = match stock.kind.value {
        PaperKind::Coated => "coated",
        PaperKind::Uncoated => "uncoated",
        PaperKind::Newsprint => "newsprint",
    };
    format!("paper {name}: {surface}, {} g/m²", stock.gsm.value.value())
}

/// Inks of every part, pages with the same inks together: where, and which.
pub(super) fn inks(job: &Job, print: &PrintPlan) -> Vec<(String, String)> {
    let mut lines = Vec::new();
    for (at, inks) in print.parts.iter().enumerate() {
        let mut groups: Vec<(Vec<String>, Vec<u32>)> = Vec::new();
        for page in 1..=job.parts[at].pages.value {
            let mut ids: Vec<_> = inks.on_page(page).iter().map(|(id, _)| *id).collect();
            ids.sort_unstable();
            let names: Vec<String> = ids.iter().map(|id| print.ink(*id).name.clone()).collect();
            match groups.iter_mut().find(|(known, _)| *known == names) {
                Some((_, pages)) => pages.push(page),
                None => groups.push((names, vec![page])),
            }
        }
        for (names, pages) in groups {
            let names = if names.is_empty() {
                "unprinted".to_owned()
            } else {
                names.join(" + ")
            };
            lines.push((place(job, at, &pages), names));
        }
    }
    lines
}

/// `poster, front` of a flat sheet, `cover, pages 1 and 4–7` of anything else, `text, all pages`.
pub(super) fn place(job: &Job, part: usize, pages: &[u32]) -> String {
    let part = &job.parts[part];
    let name = &part.name.value;
    let all = pages.len() == part.pages.value as usize;
    if !job.product.kind.value.is_folded() && part.pages.value <= 2 {
        return match (all, pages) {
            (true, [_]) | (false, [1]) => format!("{name}, front"),
            (true, _) => format!("{name}, both sides"),
            (false, _) => format!("{name}, back"),
        };
    }
    if all {
        return format!("{name}, all pages");
    }
    let noun = if pages.len() == 1 { "page" } else { "pages" };
    format!("{name}, {noun} {}", page_list(pages))
}

/// `1, 4–7 and 9`.
pub(super) fn page_list(pages: &[u32]) -> String {
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for page in pages {
        match runs.last_mut() {
            Some((_, end)) if *end + 1 == *page => *end = *page,
            _ => runs.push((*page, *page)),
        }
    }
    let texts: Vec<String> = runs
        .into_iter()
        .map(|(from, to)| match to - from {
            0 => from.to_string(),
            1 => format!("{from}, {to}"),
            _ => format!("{from}–{to}"),
        })
        .collect();
    listed(&texts)
}

fn finishing(job: &Job) -> String {
    let own = match job.product.kind.value {
        ProductKind::Flat => "cut to size",
        ProductKind::Folded => "folded and cut to size",
        ProductKind::SaddleStitched => "folded, wire-stitched through the spine, trimmed",
        ProductKind::PerfectBound => "folded, gathered, glued into the cover, trimmed",
        ProductKind::SectionSewn => "folded, gathered, sewn, glued, trimmed",
        ProductKind::Pad => "cut, counted off, glued at one edge",
        ProductKind::Set => "cut and collated",
    };
    let mut all = vec![own.to_owned()];
    all.extend(job.finishes.iter().map(|finish| finish_text(job, finish)));
    all.join("; ")
}

/// `gloss laminate on cover, both sides`.
fn finish_text(job: &Job, finish: &Finish) -> String {
    let mut text = finish.operation.value.clone();
    if let Some(part) = &finish.part {
        text = format!("{text} on {}", job.parts[part.value].name.value);
    }
    match finish.sides.value {
        [true, true] => text.push_str(", both sides"),
        [false, true] => text.push_str(", back"),
        _ => {}
    }
    let share = finish.coverage.value.fraction() * 100.0;
    if share < 100.0 {
        text = format!("{text}, {share:.0}\u{a0}% of the area");
    }
    match finish.bundle {
        Some(Bundle::Copies(copies)) => {
            format!("{text}, {} each", counted(copies.value, "copy", "copies"))
        }
        Some(Bundle::Kilograms(kg)) => format!("{text}, at most {} kg each", kg.value),
        None => text,
    }
}

/// `1 contract proof of each form; 1 drawdown of each solid on each paper`.
pub(super) fn proofs(job: &Job) -> String {
    let (forms, drawdowns) = (job.proofs.forms.value, job.proofs.drawdowns.value);
    let mut all = Vec::new();
    if forms > 0 {
        let proofs = counted(forms, "contract proof", "contract proofs");
        all.push(format!("{proofs} of each form"));
    }
    if drawdowns > 0 {
        let drawdowns = counted(drawdowns, "drawdown", "drawdowns");
        all.push(format!("{drawdowns} of each solid ink on each paper"));
    }
    if all.is_empty() {
        "none asked for".to_owned()
    } else {
        all.join("; ")
    }
}

/// `500 copies to home; the rest to abroad`.
pub(super) fn delivery(job: &Job) -> String {
    if job.deliveries.is_empty() {
        return "collected from the printer; no carriage".to_owned();
    }
    let to = |delivery: &Delivery| {
        let zone = &delivery.zone.value;
        match delivery.portion {
            Portion::Copies(copies) => {
                format!("{} to {zone}", counted(copies.value, "copy", "copies"))
            }
            Portion::Share(share) => {
                format!(
                    "{:.1}\u{a0}% of the copies to {zone}",
                    share.value.fraction() * 100.0
                )
            }
            Portion::Rest if job.deliveries.len() == 1 => format!("all copies to {zone}"),
            Portion::Rest => format!("the rest to {zone}"),
        }
    };
    let all: Vec<String> = job.deliveries.iter().map(to).collect();
    all.join("; ")
}

fn leeway(job: &Job) -> String {
    let [overs, tolerance] = [job.overs.value, job.delivery_tolerance.value].map(Percent::percent);
    let overs = if overs > 0.0 {
        format!("{overs}\u{a0}% more than ordered, in the price")
    } else {
        "the copies ordered".to_owned()
    };
    if tolerance <= 0.0 {
        return format!("{overs}; no fewer, and none charged beyond");
    }
    format!(
        "{overs}; up to {tolerance}\u{a0}% more or fewer are accepted, charged or credited at the run-on"
    )
}

/// `1 copy`, `3 000 copies`.
pub(super) fn counted(count: u64, one: &str, many: &str) -> String {
    let noun = if count == 1 { one } else { many };
    format!("{} {noun}", grouped(&count.to_string()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pages_run_together() {
        for (pages, text) in [
            (vec![1], "1"),
            (vec![1, 2], "1, 2"),
            (vec![1, 4, 5, 6, 9], "1, 4–6 and 9"),
        ] {
            assert_eq!(page_list(&pages), text);
        }
    }
}
