//! Numbers for the document: only the digits that say something.

/// `value` rounded to the decimal place of the first digit of `tolerance`.
pub(crate) fn to_digit_of(value: f64, tolerance: f64) -> String {
    if tolerance == 0.0 || value == 0.0 && tolerance < 1e-9 {
        return short(value);
    }
    let place = tolerance.log10().floor() as i32;
    if place >= 0 {
        let unit = 10f64.powi(place);
        return tidy(format!("{:.0}", (value / unit).round() * unit));
    }
    let decimals = place.unsigned_abs() as usize;
    if decimals > 12 || value.abs() < 1e-4 {
        // Many leading zeros: as many figures as the tolerance leaves, in powers of ten.
        let figures = (value.abs().log10().floor() as i32 - place).clamp(0, 15) as usize;
        return format!("{value:.figures$e}");
    }
    tidy(format!("{value:.decimals$}"))
}

/// A few significant figures, as short as they can be written.
pub(crate) fn short(value: f64) -> String {
    let rounded: f64 = format!("{value:.3e}").parse().expect("Rust reads the numbers it writes");
    if rounded != 0.0 && !(1e-3..1e6).contains(&rounded.abs()) {
        format!("{rounded:e}")
    } else {
        format!("{rounded}")
    }
}

/// How much of the allowed difference was used, in steps too coarse for the last digit of a platform to show.
pub(crate) fn share_used(share_of_tolerance: f64) -> &'static str {
    match share_of_tolerance {
        share if share <= 0.01 => "under a hundredth of what is allowed",
        share if share <= 0.1 => "under a tenth of what is allowed",
        share if share <= 0.5 => "under half of what is allowed",
        _ => "within what is allowed",
    }
}

/// No negative zero.
fn tidy(text: String) -> String {
    if text.starts_with('-') && text.chars().all(|c| matches!(c, '-' | '0' | '.')) {
        return text[1..].to_owned();
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_follow_the_tolerance() {
        assert_eq!(to_digit_of(1.234_567, 5e-3), "1.235");
        assert_eq!(to_digit_of(-0.000_4, 5e-3), "0.000");
        assert_eq!(to_digit_of(101_325.4, 20.0), "101330");
        assert_eq!(to_digit_of(1.789_4e-5, 5e-10), "1.78940e-5");
        assert_eq!(to_digit_of(3.0, 0.0), "3");
        assert_eq!(to_digit_of(0.0, 1e-12), "0");
    }

    #[test]
    fn short_numbers_are_short() {
        assert_eq!(short(0.05), "0.05");
        assert_eq!(short(5e-7), "5e-7");
        assert_eq!(short(0.953_12), "0.9531");
        assert_eq!(short(0.0), "0");
        assert_eq!(short(4000.0), "4000");
    }
}
