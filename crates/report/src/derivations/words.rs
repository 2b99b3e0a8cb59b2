//! An equation as plain text: v = √(2 m g / (ρ D)) = √(2 × 9.6 kg × 9.807 m/s² / (…)) = 4.7 m/s.

use silkfall_core::derivation::{Derivation, Expr};
use silkfall_core::quantity::System;

use super::{base_si, constant, displayed, printed_symbol};

/// A closed form in plain text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Said {
    /// "v: descent rate".
    pub meaning: String,
    /// The equation in symbols.
    pub equation: String,
    /// The same with its numbers, and the result.
    pub with_numbers: String,
    /// Where the equation stands.
    pub source: String,
}

/// A closed form in plain text; the result in `system` too.
pub fn text(derivation: &Derivation, system: System) -> Said {
    let symbol = printed_symbol(derivation.symbol);
    let by_symbol = |symbol: &'static str| printed_symbol(symbol);
    let by_number = |symbol: &'static str| {
        let input = derivation.inputs.iter().find(|input| input.symbol == symbol);
        input.map_or_else(|| printed_symbol(symbol), |input| base_si(input.si, input.kind))
    };
    let mut with_numbers = format!(
        "{symbol} = {} = {}",
        written(&derivation.expr, &by_number, Factors::Times).0,
        base_si(derivation.si, derivation.kind)
    );
    if let Some(other) = displayed(derivation.si, derivation.kind, system) {
        with_numbers += &format!(" ({other})");
    }
    Said {
        meaning: format!("{symbol}: {}", derivation.meaning),
        equation: format!("{symbol} = {}", written(&derivation.expr, &by_symbol, Factors::Beside).0),
        with_numbers,
        source: derivation.source.mark(),
    }
}

/// How factors are joined.
#[derive(Clone, Copy, PartialEq)]
enum Factors {
    /// m g
    Beside,
    /// 9.6 kg × 9.807 m/s²
    Times,
}

/// How tightly a text holds together; what binds less than its place needs gets brackets.
#[derive(Clone, Copy, PartialEq, PartialOrd)]
enum Binding {
    Sum,
    Product,
    Power,
    Atom,
}

fn written(expr: &Expr, name: &dyn Fn(&'static str) -> String, factors: Factors) -> (String, Binding) {
    let inside = |expr: &Expr, least: Binding| {
        let (text, binding) = written(expr, name, factors);
        if binding < least { format!("({text})") } else { text }
    };
    match expr {
        Expr::Number(number) => {
            let text = constant(*number);
            let binding = if *number < 0.0 { Binding::Sum } else { Binding::Atom };
            (text, binding)
        }
        Expr::Symbol(symbol) => {
            let text = name(symbol);
            // A number with its unit is a product in itself where a power is taken of it.
            let binding = if text.contains('\u{a0}') { Binding::Product } else { Binding::Atom };
            (text, binding)
        }
        Expr::Sum(terms) => {
            let terms: Vec<String> = terms.iter().map(|term| inside(term, Binding::Sum)).collect();
            (terms.join(" + "), Binding::Sum)
        }
        Expr::Difference(a, b) => {
            (format!("{} \u{2212} {}", inside(a, Binding::Sum), inside(b, Binding::Product)), Binding::Sum)
        }
        Expr::Product(given) => {
            let given: Vec<String> = given.iter().map(|factor| inside(factor, Binding::Product)).collect();
            (given.join(if factors == Factors::Times { " × " } else { " " }), Binding::Product)
        }
        Expr::Quotient(a, b) => {
            let above = inside(a, Binding::Product);
            let below = match **b {
                Expr::Symbol(_) | Expr::Number(_) => inside(b, Binding::Product),
                _ => inside(b, Binding::Power),
            };
            (format!("{above} / {below}"), Binding::Product)
        }
        Expr::Power(a, b) => {
            let base = inside(a, Binding::Atom);
            let raised = match written(b, name, factors).0.as_str() {
                "2" => "²".to_owned(),
                "3" => "³".to_owned(),
                _ => format!("^{}", inside(b, Binding::Atom)),
            };
            (base + &raised, Binding::Power)
        }
        Expr::Root(a) => (format!("√({})", written(a, name, factors).0), Binding::Atom),
        Expr::Call(function, a) => {
            (format!("{}({})", function.name(), written(a, name, factors).0), Binding::Atom)
        }
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use silkfall_core::derivation::{Function, Input, num, sym};
    use silkfall_core::ledger::Trust;
    use silkfall_core::quantity::Kind;

    /// v = √(2 m g / (ρ D)) with 9.6 kg over 6.96 m²: worked by hand, 4.70 m/s.
    pub(crate) fn rate() -> Derivation {
        Derivation {
            symbol: "v",
            meaning: "descent rate".to_owned(),
            si: 4.699,
            kind: Kind::Speed,
            expr: (num(2.0) * sym("m") * sym("g") / (sym("rho") * sym("D"))).root(),
            inputs: vec![
                Input::new("m", "mass of all that descends", 9.6, Kind::Mass, Trust::Given),
                Input::new(
                    "g",
                    "gravity",
                    9.806_65,
                    Kind::Acceleration,
                    Trust::Published("CGPM 1901".to_owned()),
                ),
                Input::new(
                    "rho",
                    "density of the air",
                    1.225,
                    Kind::Density,
                    Trust::Assumed("standard air".to_owned()),
                ),
                Input::new("D", "drag area", 6.961, Kind::DragArea, Trust::Measured),
            ],
            source: Trust::Published("force balance at steady descent".to_owned()),
        }
    }

    #[test]
    fn an_equation_with_its_numbers() {
        let said = text(&rate(), System::Si);
        assert_eq!(said.equation, "v = √(2 m g / (ρ D))");
        assert_eq!(
            said.with_numbers.replace('\u{a0}', " "),
            "v = √(2 × 9.6 kg × 9.807 m/s² / (1.225 kg/m³ × 6.961 m²)) = 4.699 m/s"
        );
        let us = text(&rate(), System::Us).with_numbers;
        assert!(us.ends_with("= 4.699\u{a0}m/s (15.42\u{a0}ft/s)"), "{us}");
    }

    #[test]
    fn brackets_stand_only_where_they_are_needed() {
        let name = |symbol: &'static str| symbol.to_owned();
        let said = |expr: Expr| written(&expr, &name, Factors::Beside).0;
        assert_eq!(said((sym("a") + sym("b")) * sym("c")), "(a + b) c");
        assert_eq!(said(sym("a") - (sym("b") - sym("c"))), "a − (b − c)");
        assert_eq!(said(sym("a") - (sym("b") + sym("c"))), "a − (b + c)");
        assert_eq!(said((sym("a") - sym("b")) - sym("c")), "a − b − c");
        assert_eq!(said(sym("a") / sym("b") / sym("c")), "a / b / c");
        assert_eq!(said(sym("a") / (sym("b") / sym("c"))), "a / (b / c)");
        assert_eq!(said(sym("a") * (sym("b") / sym("c"))), "a b / c");
        assert_eq!(said((sym("a") * sym("b")).pow(2.0)), "(a b)²");
        assert_eq!(said(sym("a").pow(2.0).pow(3.0)), "(a²)³");
        assert_eq!(said(sym("a").pow(-1.5)), "a^(−1.5)");
        assert_eq!(said(num(-1.0) * sym("a")), "(−1) a");
        assert_eq!(said((num(1.0) - sym("a")).call(Function::Exp)), "exp(1 − a)");
        assert_eq!(said(num(std::f64::consts::PI) / num(4.0) * sym("D_0").pow(2.0)), "π / 4 D_0²");
    }

    #[test]
    fn a_power_of_a_number_with_its_unit_is_bracketed() {
        let by_number = |_: &'static str| "4.3\u{a0}m/s".to_owned();
        assert_eq!(written(&sym("v").pow(2.0), &by_number, Factors::Times).0, "(4.3\u{a0}m/s)²");
    }
}
