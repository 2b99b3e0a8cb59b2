//! "How?": an equation as data beside the function that works it out.
//!
//! A closed form stands as a tree ([`Expr`]) over named inputs, so that every face can set it properly and a test
//! can evaluate it from the stated inputs and must get the stated value. A fit or a simulation has no such tree: it
//! says its procedure, data, seed and count ([`How`]).

use crate::ledger::Trust;
use crate::maths;
use crate::quantity::Kind;

/// Names a number on the sheet: its path in the JSON of `assess`, `parts.tube.cases.all-open.rate.median`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct NumberId(pub String);

impl<T: Into<String>> From<T> for NumberId {
    fn from(text: T) -> Self {
        NumberId(text.into())
    }
}

/// An expression over named inputs, SI throughout.
#[derive(Clone, Debug, PartialEq)]
pub enum Expr {
    /// A constant of the equation itself.
    Number(f64),
    /// An input by its symbol; a part after `_` is set as an index: `D_0`, `v_t`, `rho`.
    Symbol(&'static str),
    /// A sum.
    Sum(Vec<Expr>),
    /// The first less the second.
    Difference(Box<Expr>, Box<Expr>),
    /// A product.
    Product(Vec<Expr>),
    /// The first over the second.
    Quotient(Box<Expr>, Box<Expr>),
    /// The first to the power of the second.
    Power(Box<Expr>, Box<Expr>),
    /// A square root.
    Root(Box<Expr>),
    /// A named function of one argument.
    Call(Function, Box<Expr>),
}

/// Functions an expression may call.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Function {
    /// eˣ.
    Exp,
    /// Natural logarithm.
    Ln,
    /// Sine of radians.
    Sin,
    /// Cosine of radians.
    Cos,
    /// Tangent of radians.
    Tan,
    /// Angle whose sine it is.
    Asin,
    /// Hyperbolic tangent.
    Tanh,
}

impl Function {
    /// Its printed name.
    pub fn name(self) -> &'static str {
        match self {
            Function::Exp => "exp",
            Function::Ln => "ln",
            Function::Sin => "sin",
            Function::Cos => "cos",
            Function::Tan => "tan",
            Function::Asin => "asin",
            Function::Tanh => "tanh",
        }
    }

    fn of(self, x: f64) -> f64 {
        match self {
            Function::Exp => maths::exp(x),
            Function::Ln => maths::ln(x),
            Function::Sin => maths::sin(x),
            Function::Cos => maths::cos(x),
            Function::Tan => maths::tan(x),
            Function::Asin => maths::asin(x),
            Function::Tanh => maths::tanh(x),
        }
    }
}

impl From<f64> for Expr {
    fn from(number: f64) -> Self {
        Expr::Number(number)
    }
}

impl From<&'static str> for Expr {
    fn from(symbol: &'static str) -> Self {
        Expr::Symbol(symbol)
    }
}

impl std::ops::Add for Expr {
    type Output = Expr;
    fn add(self, other: Expr) -> Expr {
        match self {
            Expr::Sum(mut terms) => {
                terms.push(other);
                Expr::Sum(terms)
            }
            first => Expr::Sum(vec![first, other]),
        }
    }
}

impl std::ops::Sub for Expr {
    type Output = Expr;
    fn sub(self, other: Expr) -> Expr {
        Expr::Difference(Box::new(self), Box::new(other))
    }
}

impl std::ops::Mul for Expr {
    type Output = Expr;
    fn mul(self, other: Expr) -> Expr {
        match self {
            Expr::Product(mut factors) => {
                factors.push(other);
                Expr::Product(factors)
            }
            first => Expr::Product(vec![first, other]),
        }
    }
}

impl std::ops::Div for Expr {
    type Output = Expr;
    fn div(self, other: Expr) -> Expr {
        Expr::Quotient(Box::new(self), Box::new(other))
    }
}

/// The symbol, as an expression to build with: `sym("m") * sym("g")`.
pub fn sym(symbol: &'static str) -> Expr {
    Expr::Symbol(symbol)
}

/// The number, as an expression to build with.
pub fn num(number: f64) -> Expr {
    Expr::Number(number)
}

impl Expr {
    /// To a power.
    #[must_use]
    pub fn pow(self, exponent: impl Into<Expr>) -> Expr {
        Expr::Power(Box::new(self), Box::new(exponent.into()))
    }

    /// Its square root.
    #[must_use]
    pub fn root(self) -> Expr {
        Expr::Root(Box::new(self))
    }

    /// A function of it.
    #[must_use]
    pub fn call(self, function: Function) -> Expr {
        Expr::Call(function, Box::new(self))
    }

    /// Its value with the symbols as `lookup` gives them; `None` where a symbol is not given or the result is not
    /// finite.
    pub fn evaluate(&self, lookup: &dyn Fn(&str) -> Option<f64>) -> Option<f64> {
        let each =
            |items: &[Expr]| -> Option<Vec<f64>> { items.iter().map(|e| e.evaluate(lookup)).collect() };
        let value = match self {
            Expr::Number(number) => *number,
            Expr::Symbol(symbol) => lookup(symbol)?,
            Expr::Sum(terms) => each(terms)?.iter().sum(),
            Expr::Difference(a, b) => a.evaluate(lookup)? - b.evaluate(lookup)?,
            Expr::Product(factors) => each(factors)?.iter().product(),
            Expr::Quotient(a, b) => a.evaluate(lookup)? / b.evaluate(lookup)?,
            Expr::Power(a, b) => maths::pow(a.evaluate(lookup)?, b.evaluate(lookup)?),
            Expr::Root(a) => maths::sqrt(a.evaluate(lookup)?),
            Expr::Call(function, a) => function.of(a.evaluate(lookup)?),
        };
        value.is_finite().then_some(value)
    }
}

/// One input of a derivation.
#[derive(Clone, Debug, PartialEq)]
pub struct Input {
    /// As in the expression.
    pub symbol: &'static str,
    /// What it is, in words.
    pub meaning: String,
    /// SI value put in.
    pub si: f64,
    /// What it measures.
    pub kind: Kind,
    /// How far to trust it and where it comes from.
    pub trust: Trust,
    /// The number of the sheet it is, so that "how?" can be asked of it in turn.
    pub number: Option<NumberId>,
}

/// A closed form with its numbers put in.
#[derive(Clone, Debug, PartialEq)]
pub struct Derivation {
    /// Symbol of the result.
    pub symbol: &'static str,
    /// What the result is, in words.
    pub meaning: String,
    /// Its SI value.
    pub si: f64,
    /// What it measures.
    pub kind: Kind,
    /// The right-hand side.
    pub expr: Expr,
    /// Every symbol of the right-hand side, once.
    pub inputs: Vec<Input>,
    /// Where the equation stands.
    pub source: Trust,
}

impl Input {
    /// An input that is no number of a sheet.
    pub fn new(symbol: &'static str, meaning: &str, si: f64, kind: Kind, trust: Trust) -> Self {
        Input { symbol, meaning: meaning.to_owned(), si, kind, trust, number: None }
    }
}

impl Derivation {
    /// A derivation whose value its own right-hand side gives; `None` where that is not finite.
    pub fn of(
        symbol: &'static str,
        meaning: &str,
        kind: Kind,
        expr: Expr,
        inputs: Vec<Input>,
        source: Trust,
    ) -> Option<Self> {
        let mut derivation =
            Derivation { symbol, meaning: meaning.to_owned(), si: 0.0, kind, expr, inputs, source };
        derivation.si = derivation.evaluate()?;
        Some(derivation)
    }

    /// ∂value/∂input by a central difference; `None` where the symbol is no input, or a neighbour has no value.
    pub fn slope(&self, symbol: &str) -> Option<f64> {
        let at = self.inputs.iter().find(|input| input.symbol == symbol)?.si;
        let step = if at == 0.0 { 1e-9 } else { 1e-5 * at.abs() };
        let with = |si: f64| {
            let lookup = |name: &str| {
                if name == symbol {
                    return Some(si);
                }
                self.inputs.iter().find(|input| input.symbol == name).map(|input| input.si)
            };
            self.expr.evaluate(&lookup)
        };
        Some((with(at + step)? - with(at - step)?) / (2.0 * step))
    }

    /// The right-hand side worked out from the stated inputs.
    pub fn evaluate(&self) -> Option<f64> {
        self.expr
            .evaluate(&|symbol| self.inputs.iter().find(|input| input.symbol == symbol).map(|input| input.si))
    }
}

/// How a number came about.
#[derive(Clone, Debug, PartialEq)]
pub enum How {
    /// A closed form.
    Closed(Derivation),
    /// A fit to data: the procedure in sentences, what went in, how many.
    Fit {
        /// What was done, in full sentences, with its source.
        procedure: String,
        /// What it was done to.
        data: String,
        /// Number of data.
        count: usize,
    },
    /// A simulation.
    Simulation {
        /// What was done, in full sentences, with its source.
        procedure: String,
        /// Number of trials.
        trials: usize,
        /// Seed of the streams.
        seed: u64,
    },
    /// Written by the person: the key of the project and its text.
    Given {
        /// Dotted key.
        key: String,
        /// As written.
        text: String,
    },
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_derivation_gives_what_it_states() {
        // 5.9 kg at 4.3 m/s with coefficient 2.2 in 1.225 kg/m³: 1.72 m (common practice, no published source).
        let input = |symbol, si, kind| Input {
            symbol,
            meaning: symbol.to_owned(),
            si,
            kind,
            trust: Trust::Given,
            number: None,
        };
        let derivation = Derivation {
            symbol: "D",
            meaning: "diameter".to_owned(),
            si: 1.719_5,
            kind: Kind::Length,
            expr: (num(8.0) * sym("m") * sym("g")
                / (num(std::f64::consts::PI) * sym("rho") * sym("v").pow(2.0) * sym("C_D")))
            .root(),
            inputs: vec![
                input("m", 5.9, Kind::Mass),
                input("g", 9.806_65, Kind::Acceleration),
                input("rho", 1.225, Kind::Density),
                input("v", 4.3, Kind::Speed),
                input("C_D", 2.2, Kind::Ratio),
            ],
            source: Trust::Practice,
        };
        assert!((derivation.evaluate().unwrap() - derivation.si).abs() < 5e-4);
    }

    #[test]
    fn slopes_are_those_of_calculus() {
        let input = |symbol, si| Input::new(symbol, symbol, si, Kind::Ratio, Trust::Given);
        let inputs = vec![input("a", 3.0), input("b", 0.0)];
        let expr = sym("a").pow(2.0) + num(4.0) * sym("b");
        let square = Derivation::of("x", "x", Kind::Ratio, expr, inputs, Trust::Practice).unwrap();
        assert!((square.slope("a").unwrap() - 6.0).abs() < 1e-8);
        assert!((square.slope("b").unwrap() - 4.0).abs() < 1e-5, "at nothing the step is small");
        assert_eq!(square.slope("c"), None);
    }

    #[test]
    fn a_missing_symbol_or_a_division_by_nothing_has_no_value() {
        assert_eq!((sym("a") / sym("b")).evaluate(&|_| None), None);
        assert_eq!((num(1.0) / num(0.0)).evaluate(&|_| None), None);
    }
}
