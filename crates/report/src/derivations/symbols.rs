//! Symbols as printed: Greek letters by name, a part after `_` as an index.

/// Lower case by its name; the capital by the capitalised name.
const GREEK: [(&str, char, char); 24] = [
    ("alpha", 'α', 'Α'),
    ("beta", 'β', 'Β'),
    ("gamma", 'γ', 'Γ'),
    ("delta", 'δ', 'Δ'),
    ("epsilon", 'ε', 'Ε'),
    ("zeta", 'ζ', 'Ζ'),
    ("eta", 'η', 'Η'),
    ("theta", 'θ', 'Θ'),
    ("iota", 'ι', 'Ι'),
    ("kappa", 'κ', 'Κ'),
    ("lambda", 'λ', 'Λ'),
    ("mu", 'μ', 'Μ'),
    ("nu", 'ν', 'Ν'),
    ("xi", 'ξ', 'Ξ'),
    ("omicron", 'ο', 'Ο'),
    ("pi", 'π', 'Π'),
    ("rho", 'ρ', 'Ρ'),
    ("sigma", 'σ', 'Σ'),
    ("tau", 'τ', 'Τ'),
    ("upsilon", 'υ', 'Υ'),
    ("phi", 'φ', 'Φ'),
    ("chi", 'χ', 'Χ'),
    ("psi", 'ψ', 'Ψ'),
    ("omega", 'ω', 'Ω'),
];

/// The letter and its index: `rho_0` is ("ρ", Some("0")).
pub fn split(symbol: &str) -> (String, Option<String>) {
    match symbol.split_once('_') {
        Some((letter, index)) => (greek(letter), Some(greek(index))),
        None => (greek(symbol), None),
    }
}

/// As plain text: ρ₀, v_t. Indices of digits are set low, others stay after the `_`.
pub fn printed(symbol: &str) -> String {
    let (letter, index) = split(symbol);
    match index {
        None => letter,
        Some(index) if index.chars().all(|c| c.is_ascii_digit()) => {
            // U+2080 is the low zero; the digits follow it in order.
            let low = index.chars().filter_map(|c| char::from_u32(0x2080 + u32::from(c) - u32::from('0')));
            letter + &low.collect::<String>()
        }
        Some(index) => format!("{letter}_{index}"),
    }
}

fn greek(name: &str) -> String {
    for (lower_name, lower, capital) in GREEK {
        if name == lower_name {
            return lower.to_string();
        }
        if name.len() == lower_name.len() && name.to_lowercase() == lower_name {
            return capital.to_string();
        }
    }
    name.to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn greek_letters_and_indices() {
        assert_eq!(printed("rho"), "ρ");
        assert_eq!(printed("rho_0"), "ρ₀");
        assert_eq!(printed("D_0"), "D₀");
        assert_eq!(printed("v_t"), "v_t");
        assert_eq!(printed("Delta_h"), "Δ_h");
        assert_eq!(printed("phi"), "φ");
        assert_eq!(printed("m"), "m");
        assert_eq!(split("eta_max"), ("η".into(), Some("max".into())));
    }
}
