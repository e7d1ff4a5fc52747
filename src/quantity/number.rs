//! Plain decimal numbers as people write them, with what the last digit is worth.

use thiserror::Error;

/// Which sign parts the decimals.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum DecimalSign {
    /// Typed by hand: either, but a comma before exactly three digits is refused.
    #[default]
    Either,
    /// A file with points.
    Point,
    /// A file with commas.
    Comma,
}

/// A number and the worth of its last digit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Decimal {
    /// The number.
    pub value: f64,
    /// What one step of the last digit is worth.
    pub step: f64,
}

/// Why a text is no number.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum NumberError {
    /// Not there yet: more is to come.
    #[error("nothing to read yet: type a number")]
    Unfinished,
    /// A comma before exactly three digits may part thousands or decimals.
    #[error("{found} can be read two ways: write {whole} or {decimal}")]
    TwoWays {
        /// As written.
        found: String,
        /// If the sign parts thousands.
        whole: String,
        /// If it parts decimals.
        decimal: String,
    },
    /// The other decimal sign than the file's.
    #[error("{found} has the other decimal sign than the rest of the file: write {wanted}")]
    OtherSign {
        /// As written.
        found: String,
        /// With the file's sign.
        wanted: String,
    },
    /// Below zero.
    #[error("{found} is below zero: a number of 0 or more was wanted")]
    Negative {
        /// As written.
        found: String,
    },
    /// Not a plain number.
    #[error("{found} is not a plain number such as 412, 4.1 or 4,1")]
    NotANumber {
        /// As written.
        found: String,
    },
}

/// The two ways to read digits, one sign and exactly three digits (`1,200`); none for any other
/// text. A leading zero can only be a decimal.
#[must_use]
pub fn two_ways(text: &str) -> Option<(String, String)> {
    let (head, tail) = text.split_once([',', '.'])?;
    let digits = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    let grouped = digits(head)
        && head.len() <= 3
        && !head.starts_with('0')
        && digits(tail)
        && tail.len() == 3;
    if !grouped {
        return None;
    }
    let decimals = tail.trim_end_matches('0');
    let decimal = if decimals.is_empty() {
        format!("{head}.0")
    } else {
        format!("{head}.{decimals}")
    };
    Some((format!("{head}{tail}"), decimal))
}

/// Reads a number of 0 or more without exponent or thousands signs.
///
/// # Errors
/// Says what was found and how to write it.
pub fn decimal(text: &str, sign: DecimalSign) -> Result<Decimal, NumberError> {
    let text = text.trim();
    let found = || text.to_owned();
    if text.is_empty() {
        return Err(NumberError::Unfinished);
    }
    if text
        .strip_prefix(['-', '\u{2212}'])
        .is_some_and(|rest| decimal(rest, sign).is_ok())
    {
        return Err(NumberError::Negative { found: found() });
    }
    let wrong = match sign {
        DecimalSign::Either => None,
        DecimalSign::Point => Some((',', '.')),
        DecimalSign::Comma => Some(('.', ',')),
    };
    if let Some((other, own)) = wrong.filter(|(other, _)| text.contains(*other)) {
        return Err(NumberError::OtherSign {
            found: found(),
            wanted: text.replace(other, &own.to_string()),
        });
    }
    if sign == DecimalSign::Either
        && text.contains(',')
        && let Some((whole, decimal)) = two_ways(text)
    {
        return Err(NumberError::TwoWays {
            found: found(),
            whole,
            decimal,
        });
    }
    let point = text.replace(',', ".");
    let (whole, decimals) = point.split_once('.').unwrap_or((&point, ""));
    let digits = |part: &str| part.bytes().all(|b| b.is_ascii_digit());
    if whole.len() + decimals.len() == 0 || !digits(whole) || !digits(decimals) || point.len() > 20
    {
        return Err(NumberError::NotANumber { found: found() });
    }
    let value = point
        .trim_end_matches('.')
        .parse()
        .map_err(|_| NumberError::NotANumber { found: found() })?;
    let places = i32::try_from(decimals.len()).unwrap_or(0);
    Ok(Decimal {
        value,
        step: 10f64.powi(-places),
    })
}
