//! Equations in the typesetter's own notation: fractions, roots and indices set as in a book.
//!
//! Symbols and functions are the program's own words, and anything longer than a letter is a quoted literal.

use silkfall_core::derivation::{Derivation, Expr};
use silkfall_core::quantity::System;
use silkfall_report::derivations::{Setting, base_si, constant, displayed, split_symbol};

use crate::markup::quoted;

/// An equation as the paper needs it, each a line.
pub(crate) struct Lines {
    /// In symbols.
    pub(crate) symbols: String,
    /// With its numbers in base SI units, and the result.
    pub(crate) whole: String,
    /// The same on two lines, where one does not hold it.
    pub(crate) apart: [String; 2],
}

pub(crate) fn lines(derivation: &Derivation, system: System) -> Lines {
    let left = symbol(derivation.symbol);
    let mut result = quantity(&base_si(derivation.si, derivation.kind));
    if let Some(other) = displayed(derivation.si, derivation.kind, system) {
        result += &format!(" space ({})", quantity(&other));
    }
    let numbers = expr(&derivation.expr, Setting::Numbers(&derivation.inputs));
    Lines {
        symbols: format!("$ {left} = {} $", expr(&derivation.expr, Setting::Symbols)),
        whole: format!("$ {left} = {numbers} = {result} $"),
        apart: [format!("$ {left} = {numbers} $"), format!("$ = {result} $")],
    }
}

fn symbol(symbol: &str) -> String {
    let (letter, index) = split_symbol(symbol);
    let mut characters = letter.chars();
    let letter = match (characters.next(), characters.next()) {
        (Some(c), None) if c.is_alphabetic() => letter,
        _ => quoted(&letter),
    };
    index.map_or(letter.clone(), |index| format!("{letter}_({})", quoted(&index)))
}

/// "9.6 kg": the number, a thin space, the unit upright.
fn quantity(text: &str) -> String {
    match text.split_once('\u{a0}') {
        Some((number, unit)) => format!("{} thin {}", bare(number), quoted(unit)),
        None => bare(text),
    }
}

/// Figures as they are, which stand close to what follows; all else as a literal.
fn bare(number: &str) -> String {
    let is_plain = number.starts_with(|c: char| c.is_ascii_digit())
        && number.chars().all(|c| c.is_ascii_digit() || c == '.');
    if is_plain { number.to_owned() } else { quoted(number) }
}

fn is_sum(expr: &Expr) -> bool {
    matches!(expr, Expr::Sum(_) | Expr::Difference(..)) || matches!(expr, Expr::Number(n) if *n < 0.0)
}

/// Brackets as high as what they hold.
fn bracketed(inside: &str) -> String {
    format!("lr(({inside}))")
}

fn expr(given: &Expr, setting: Setting) -> String {
    let set = |e: &Expr| expr(e, setting);
    let factor = |e: &Expr| if is_sum(e) { bracketed(&set(e)) } else { set(e) };
    match given {
        Expr::Number(number) => bare(&constant(*number)),
        Expr::Symbol(of) => match setting.input(of) {
            Some(input) => quantity(&base_si(input.si, input.kind)),
            None => symbol(of),
        },
        Expr::Sum(terms) => terms.iter().map(set).collect::<Vec<_>>().join(" + "),
        Expr::Difference(a, b) => format!("{} - {}", set(a), factor(b)),
        Expr::Product(factors) => {
            let mut out = String::new();
            for (at, each) in factors.iter().enumerate() {
                let is_beside = matches!(setting, Setting::Symbols) && !matches!(each, Expr::Number(_));
                out += match (at, is_beside) {
                    (0, _) => "",
                    (_, true) => " ",
                    (_, false) => " times ",
                };
                out += &factor(each);
            }
            out
        }
        Expr::Quotient(a, b) => format!("frac({}, {})", set(a), set(b)),
        Expr::Power(a, b) => {
            let bare = match &**a {
                // A number with its unit is raised as a whole.
                Expr::Symbol(symbol) => {
                    setting.input(symbol).is_none_or(|input| input.kind.units()[0].symbol.is_empty())
                }
                Expr::Number(number) => *number >= 0.0,
                _ => false,
            };
            let base = set(a);
            format!("{}^({})", if bare { base } else { bracketed(&base) }, set(b))
        }
        Expr::Root(a) => format!("sqrt({})", set(a)),
        Expr::Call(function, a) => format!("op({}) {}", quoted(function.name()), bracketed(&set(a))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use silkfall_core::derivation::{Input, num, sym};
    use silkfall_core::ledger::Trust;
    use silkfall_core::quantity::Kind;

    #[test]
    fn an_equation_in_symbols_and_with_its_numbers() {
        let rate = Derivation {
            symbol: "v_t",
            meaning: "descent rate".to_owned(),
            si: 4.699,
            kind: Kind::Speed,
            expr: (num(2.0) * sym("m") / (sym("rho_0") * sym("D").pow(num(2.0)))).root(),
            inputs: vec![Input::new("m", "mass", 9.6, Kind::Mass, Trust::Given)],
            source: Trust::Given,
        };
        let Lines { symbols, whole, apart } = lines(&rate, System::Us);
        assert_eq!(symbols, "$ v_(\"t\") = sqrt(frac(2 m, ρ_(\"0\") D^(2))) $");
        assert!(whole.contains("2 times 9.6 thin \"kg\""), "{whole}");
        assert_eq!(apart[1], "$ = 4.699 thin \"m/s\" space (15.42 thin \"ft/s\") $");
    }
}
