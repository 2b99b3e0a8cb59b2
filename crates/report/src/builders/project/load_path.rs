//! Whether a part holds together: every member against the hardest pull on it, the weakest by name, what would do, the shock.

use silkfall_core::cases::Verdict;
use silkfall_core::ledger::Trust;
use silkfall_core::quantity::Kind;
use silkfall_sheet::{BorneSheet, MemberSheet, Number, PartSheet, ShockSheet};

use super::super::shared;
use super::section;
use crate::document::{Cell, Column, Fold, Rich, Row, Section, Shown, Table, Weight};
use crate::figures::{Drawing, Figure, MemberBars, MemberMark};

/// Forces are told to three digits or so, factors and margins to two: that is what is known of a factor from memory.
const DIGITS: f64 = 0.02;
const FEWER: f64 = 0.05;

pub(super) fn section_of(part: &PartSheet) -> Option<Section> {
    let strength = &part.strength;
    if part.load_path.is_empty() && part.shock.is_none() && strength.verdict == Verdict::NotJudged {
        return None;
    }
    let mut section = section(part, "load-path", heading(part)).on_terminal(summary(part));
    if !part.load_path.is_empty() {
        let open = open_ones(part);
        section = if open.rows.is_empty() { section } else { section.on_terminal(open) };
        section = section.in_report(against(part));
        section = section.in_report(figure(part)).in_report(strengths(part)).in_report(factors(part));
    }
    if let Some(shock) = &part.shock {
        section = section.everywhere(shaken(shock)).in_report(contents(shock));
    }
    Some(strength.says.iter().fold(section, |section, says| section.in_report(says.as_str())))
}

fn heading(part: &PartSheet) -> Rich {
    let said = Rich::from(format!("{}: {}", part.name, part.strength.reason));
    if part.strength.verdict == Verdict::NotJudged {
        said
    } else {
        said.plain(": ").verdict(part.strength.verdict)
    }
}

fn weakest(part: &PartSheet) -> Option<&MemberSheet> {
    part.load_path.iter().find(|member| member.weakest)
}

/// A force, a strength for a width, a factor.
fn about(number: &Number) -> Shown {
    let digits = if number.kind == Kind::Ratio { FEWER } else { DIGITS };
    Shown { doubt_si: digits * number.si, ..Shown::from(number) }
}

/// "Load path: the weakest is ...".
pub(super) fn summary(part: &PartSheet) -> Rich {
    let mut said = Rich::from("Load path: ");
    if part.strength.verdict == Verdict::NotJudged {
        return said.verdict(Verdict::NotJudged).plain(format!(", {}.", part.strength.reason));
    }
    said = said.plain(format!("{}: ", part.strength.reason)).verdict(part.strength.verdict).plain(".");
    let Some(member) = weakest(part) else { return said };
    match (&member.margin, &member.pull) {
        (Some(margin), Ok(pull)) => said
            .plain(" The weakest is ")
            .strong(&member.id)
            .plain(": pulled with up to ")
            .number(about(&pull.at_95))
            .plain(format!(" ({}), it holds ", when(pull)))
            .number(about(&margin.at_worst))
            .plain(" times what is wanted at worst."),
        _ => said,
    }
}

/// "leading, nothing opened before".
fn when(pull: &BorneSheet) -> String {
    match &pull.of {
        Some(row) => format!("{}, {}", row.canopy, pull.when),
        None => pull.when.clone(),
    }
}

/// Its name, and what it is where that does not tell.
fn named(member: &MemberSheet) -> Rich {
    let word = member.kind.word();
    let name = Rich::from(member.id.as_str());
    if member.id.contains(word) { name } else { name.quiet(format!(" ({word})")) }
}

/// On a terminal those that do not surely hold, with what would do.
fn open_ones(part: &PartSheet) -> Table {
    let columns = vec![
        Column::text("Does not surely hold"),
        Column::numbers("95 of 100 below", Kind::Force),
        Column::numbers("may be given", Kind::Force),
        Column::text("would do").right(),
        Column::text(""),
    ];
    let mut table = Table::new("", columns);
    let open = |member: &&MemberSheet| matches!(member.verdict, Verdict::Misses | Verdict::Undecided);
    for member in part.load_path.iter().filter(open) {
        table = table.row(Row::new(vec![
            member.id.as_str().into(),
            pulled(member),
            or_not_known(member.allowed.as_ref()),
            or_not_known(member.would_do.as_ref()),
            member.verdict.into(),
        ]));
    }
    table
}

fn pulled(member: &MemberSheet) -> Cell {
    or_not_known(member.pull.as_ref().ok().map(|pull| &pull.at_95))
}

fn or_not_known(number: Option<&Number>) -> Cell {
    number.map_or_else(|| Rich::new().quiet("not known").into(), |number| about(number).into())
}

/// Every member against what it may be given.
fn against(part: &PartSheet) -> Table {
    let columns = vec![
        Column::text("Member"),
        Column::numbers("pulled with", Kind::Force),
        Column::text("when"),
        Column::numbers("may be given", Kind::Force),
        Column::text("margin").right(),
        Column::text(""),
    ];
    let caption = "What 95 of 100 pulls at each member stay below, and what it may be given for sure";
    let mut table = Table::new(caption, columns);
    for member in &part.load_path {
        let said = match &member.pull {
            Ok(pull) => when(pull),
            Err(why) => why.clone(),
        };
        let weight = if member.weakest { Weight::Chosen } else { Weight::Counts };
        let margin = member.margin.as_ref().map(|margin| &margin.at_worst);
        let row = Row::new(vec![
            named(member).into(),
            pulled(member),
            Rich::new().quiet(said).into(),
            or_not_known(member.allowed.as_ref()),
            or_not_known(margin),
            member.verdict.into(),
        ]);
        table = table.row(row.weighing(weight));
    }
    table
}

/// What each is rated, what is wanted of it, and what would do.
fn strengths(part: &PartSheet) -> Table {
    let columns = vec![
        Column::text("Member"),
        Column::text("rated").right(),
        Column::text("design factor").right(),
        Column::text("at worst").right(),
        Column::text("margin").right(),
        Column::text("95 of 100"),
        Column::text("would do").right(),
        Column::text(""),
    ];
    let mut table = Table::new("Strength over what is wanted of it: 1 is just enough", columns);
    for member in &part.load_path {
        let path = format!("parts.{}.load_path.{}.sharing", part.name, member.id);
        let factor = |at: usize| or_not_known(member.design_factor.as_ref().map(|factors| &factors[at]));
        let margin = member.margin.as_ref().map(|margin| &margin.margin);
        table = table.row(Row::new(vec![
            member.id.as_str().into(),
            rated(member, path),
            factor(0),
            factor(1),
            or_not_known(margin),
            margin.map_or_else(Rich::new, interval).into(),
            or_not_known(member.would_do.as_ref()),
            Rich::new().quiet(origin(&member.trust)).into(),
        ]));
    }
    table
}

/// In a word or two; the document remembered stands beside each factor.
fn origin(trust: &Trust) -> &'static str {
    if trust.is_from_memory() { "from memory" } else { trust.word() }
}

/// "12 × 480 N" where several share the pull.
fn rated(member: &MemberSheet, path: String) -> Cell {
    match (member.sharing, &member.rated) {
        (Some(count), Some(one)) if count > 1 => {
            Rich::new().number(Shown::count(path, count)).plain(" × ").number(about(one)).into()
        }
        (_, one) => or_not_known(one.as_ref()),
    }
}

fn interval(number: &Number) -> Rich {
    let path = format!("{}.interval_95", number.id.0);
    number
        .interval_95
        .as_ref()
        .map_or_else(Rich::new, |between| shared::interval(&path, between, number.kind))
}

/// The design factors one by one.
fn factors(part: &PartSheet) -> Table {
    let columns = vec![
        Column::text("Member"),
        Column::text("factor"),
        Column::text("").right(),
        Column::text("at worst").right(),
        Column::text("from"),
    ];
    let caption = "The design factors one by one: the first three raise what is wanted, the others are shares of the \
                   strength that are left";
    let mut table = Table::new(caption, columns).folded(Fold::Shut);
    for member in &part.load_path {
        for (at, factor) in member.factors.iter().enumerate() {
            table = table.row(Row::new(vec![
                if at == 0 { member.id.as_str().into() } else { "".into() },
                factor.factor.meaning().into(),
                about(&factor.best).into(),
                about(factor.worst.as_ref().unwrap_or(&factor.best)).into(),
                Rich::new().quiet(factor.trust.mark()).into(),
            ]));
        }
    }
    table
}

fn shaken(shock: &ShockSheet) -> Rich {
    let mut said = Rich::from("The part is shaken with up to ")
        .number(about(&shock.at_95))
        .plain(format!(" ({}).", when(&shock.pull)));
    for content in &shock.contents {
        said = said.plain(format!(" {}: ", content.id));
        if let Some(limit) = &content.limit {
            said = said.plain("bears ").number(limit.into()).plain(", ");
        }
        said = said.verdict(content.verdict).plain(".");
    }
    said
}

fn contents(shock: &ShockSheet) -> Table {
    let columns = vec![
        Column::text("What is in it"),
        Column::numbers("bears", Kind::Shock),
        Column::numbers("shaken with", Kind::Shock),
        Column::numbers("pulls at its fastening with", Kind::Force),
        Column::text(""),
    ];
    let mut table = Table::new("What must not be shaken too hard", columns);
    for content in &shock.contents {
        table = table.row(Row::new(vec![
            content.id.as_str().into(),
            or_not_known(content.limit.as_ref()),
            about(&shock.at_95).into(),
            or_not_known(content.fastening.as_ref()),
            content.verdict.into(),
        ]));
    }
    table
}

/// What the figure shows.
fn drawn(part: &PartSheet) -> Table {
    let columns = vec![
        Column::text("Member"),
        Column::numbers("pulled with", Kind::Force),
        Column::text("95 of 100"),
        Column::numbers("may be given", Kind::Force),
    ];
    let mut table = Table::new("Pulls and what may be given", columns);
    for member in &part.load_path {
        table = table.row(Row::new(vec![
            member.id.as_str().into(),
            pulled(member),
            member.pull.as_ref().ok().map_or_else(Rich::new, |pull| interval(&pull.force)).into(),
            or_not_known(member.allowed.as_ref()),
        ]));
    }
    table
}

fn figure(part: &PartSheet) -> Figure {
    let mark = |member: &MemberSheet| MemberMark {
        label: member.id.clone(),
        at_95_n: member.pull.as_ref().ok().map(|pull| pull.at_95.si),
        between_n: member.pull.as_ref().ok().and_then(|pull| {
            let between = pull.force.interval_95.as_ref()?;
            Some((between.low, between.high))
        }),
        allowed_n: member.allowed.as_ref().map(|allowed| allowed.si),
        fill: (&member.trust).into(),
        verdict: member.verdict,
        weakest: member.weakest,
    };
    Figure {
        id: format!("{}-members", part.name),
        caption: "What pulls at each member as a share of what it may be given for sure; the thin line shows where 95 of 100 \
                  openings lie, the fill how far strength and factors are to be trusted."
            .into(),
        description: format!(
            "{} members of the load path of {} as bars against one rule: {}.",
            part.load_path.len(),
            part.name,
            part.strength.reason
        ),
        alternative: drawn(part),
        drawing: Drawing::Members(MemberBars { members: part.load_path.iter().map(mark).collect() }),
    }
}
