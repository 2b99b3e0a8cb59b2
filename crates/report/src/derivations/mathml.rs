//! An equation as MathML (MathML Core): fractions, roots and indices set properly, no script needed.

use maud::{Markup, html};
use silkfall_core::derivation::{Derivation, Expr};
use silkfall_core::quantity::System;

use super::{Setting, base_si, constant, displayed, split_symbol};

/// "v = √(2mg/ρD)" in symbols.
pub fn symbolic(derivation: &Derivation) -> Markup {
    html! {
        math display="block" {
            mrow {
                (symbol_mathml(derivation.symbol)) mo { "=" } (expr(&derivation.expr, Setting::Symbols))
            }
        }
    }
}

/// The same with its numbers in base SI units, and the result.
pub fn with_numbers(derivation: &Derivation, system: System) -> Markup {
    html! {
        math display="block" {
            mrow {
                (symbol_mathml(derivation.symbol))
                mo { "=" }
                (expr(&derivation.expr, Setting::Numbers(&derivation.inputs)))
                mo { "=" }
                (quantity(&base_si(derivation.si, derivation.kind)))
                @if let Some(other) = displayed(derivation.si, derivation.kind, system) {
                    mspace width="0.6em" {}
                    mo stretchy="false" { "(" } (quantity(&other)) mo stretchy="false" { ")" }
                }
            }
        }
    }
}

/// How wide the wider of the two stands, ems of its type: a careful guess, since every reader has another font.
pub fn ems(derivation: &Derivation) -> f64 {
    let symbols = wide(&derivation.expr, Setting::Symbols);
    let result = wide_text(&base_si(derivation.si, derivation.kind)) + 8.0;
    2.0 + symbols.max(wide(&derivation.expr, Setting::Numbers(&derivation.inputs)) + result)
}

fn wide_text(text: &str) -> f64 {
    0.58 * text.chars().count() as f64
}

fn wide(given: &Expr, setting: Setting) -> f64 {
    const BRACKETS: f64 = 0.9;
    const SIGN: f64 = 1.3;
    let set = |e: &Expr| wide(e, setting);
    let factor = |e: &Expr| set(e) + if is_sum(e) { BRACKETS } else { 0.0 };
    match given {
        Expr::Number(number) => wide_text(&constant(*number)),
        Expr::Symbol(symbol) => match setting.input(symbol) {
            Some(input) => wide_text(&base_si(input.si, input.kind)),
            None => 0.2 + wide_text(symbol),
        },
        Expr::Sum(terms) => terms.iter().map(set).sum::<f64>() + SIGN * terms.len() as f64,
        Expr::Difference(a, b) => set(a) + SIGN + factor(b),
        Expr::Product(factors) => {
            let between = if matches!(setting, Setting::Symbols) { 0.2 } else { SIGN };
            factors.iter().map(factor).sum::<f64>() + between * factors.len() as f64
        }
        Expr::Quotient(a, b) => set(a).max(set(b)) + 0.3,
        Expr::Power(a, b) => set(a) + BRACKETS + 0.75 * set(b),
        Expr::Root(a) => set(a) + 1.0,
        Expr::Call(function, a) => wide_text(function.name()) + BRACKETS + set(a),
    }
}

fn symbol_mathml(symbol: &str) -> Markup {
    let (letter, index) = split_symbol(symbol);
    html! {
        @match index {
            Some(index) => msub { mi { (letter) } mi mathvariant="normal" { (index) } },
            None => mi { (letter) },
        }
    }
}

/// "9.6 kg": the number, a thin space, the unit upright.
fn quantity(text: &str) -> Markup {
    html! {
        @match text.split_once('\u{a0}') {
            Some((number, unit)) => mrow { mn { (number) } mspace width="0.2em" {} mtext { (unit) } },
            None => mn { (text) },
        }
    }
}

fn is_sum(expr: &Expr) -> bool {
    matches!(expr, Expr::Sum(_) | Expr::Difference(..)) || matches!(expr, Expr::Number(n) if *n < 0.0)
}

fn bracketed(inside: Markup) -> Markup {
    html! { mrow { mo { "(" } (inside) mo { ")" } } }
}

fn expr(given: &Expr, setting: Setting) -> Markup {
    let factor = |e: &Expr| if is_sum(e) { bracketed(expr(e, setting)) } else { expr(e, setting) };
    match given {
        Expr::Number(number) => html! { mn { (constant(*number)) } },
        Expr::Symbol(symbol) => match setting.input(symbol) {
            Some(input) => quantity(&base_si(input.si, input.kind)),
            None => symbol_mathml(symbol),
        },
        Expr::Sum(terms) => html! {
            mrow {
                @for (at, term) in terms.iter().enumerate() {
                    @if at > 0 { mo { "+" } }
                    (expr(term, setting))
                }
            }
        },
        Expr::Difference(a, b) => html! { mrow { (expr(a, setting)) mo { "\u{2212}" } (factor(b)) } },
        Expr::Product(factors) => html! {
            mrow {
                @for (at, each) in factors.iter().enumerate() {
                    @if at > 0 {
                        @match (setting, each) {
                            // An invisible times keeps letters apart for those who listen.
                            (Setting::Symbols, e) if !matches!(e, Expr::Number(_)) => mo { "\u{2062}" },
                            _ => mo { "×" },
                        }
                    }
                    (factor(each))
                }
            }
        },
        Expr::Quotient(a, b) => html! { mfrac { mrow { (expr(a, setting)) } mrow { (expr(b, setting)) } } },
        Expr::Power(a, b) => {
            let bare = match &**a {
                // A number with its unit is raised as a whole.
                Expr::Symbol(symbol) => {
                    setting.input(symbol).is_none_or(|input| input.kind.units()[0].symbol.is_empty())
                }
                Expr::Number(number) => *number >= 0.0,
                _ => false,
            };
            let base = expr(a, setting);
            html! { msup { @if bare { (base) } @else { (bracketed(base)) } mrow { (expr(b, setting)) } } }
        }
        Expr::Root(a) => html! { msqrt { (expr(a, setting)) } },
        Expr::Call(function, a) => {
            html! { mrow { mi { (function.name()) } mo { "\u{2061}" } (bracketed(expr(a, setting))) } }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::words::tests::rate;
    use super::*;

    #[test]
    fn letters_stand_beside_one_another_and_numbers_get_a_sign() {
        let symbols = symbolic(&rate()).0;
        assert!(symbols.contains("<msqrt><mfrac><mrow>"), "{symbols}");
        assert!(symbols.contains("<mi>ρ</mi><mo>\u{2062}</mo><mi>D</mi>"), "{symbols}");
        assert!(!symbols.contains('×'), "{symbols}");
        let numbers = with_numbers(&rate(), System::Us).0;
        assert_eq!(numbers.matches('×').count(), 3, "2 × m × g over rho × D: {numbers}");
        assert!(
            numbers.contains("<mn>9.6</mn><mspace width=\"0.2em\"></mspace><mtext>kg</mtext>"),
            "{numbers}"
        );
        assert!(numbers.contains("<mtext>ft/s</mtext>"), "{numbers}");
    }

    #[test]
    fn a_longer_equation_is_wider() {
        let short = ems(&rate());
        let mut long = rate();
        long.expr = long.expr.clone() + long.expr;
        assert!(short > 15.0 && short < 40.0 && ems(&long) > short + 5.0, "{short} {}", ems(&long));
    }

    #[test]
    fn an_index_stands_low() {
        assert_eq!(symbol_mathml("rho_0").0, "<msub><mi>ρ</mi><mi mathvariant=\"normal\">0</mi></msub>");
    }
}
