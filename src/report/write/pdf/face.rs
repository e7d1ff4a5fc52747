//! A type face: which glyph a letter is, how wide, and what is written where it has none.
//!
//! No shaping: Latin, Greek and Cyrillic stand as they should, Hebrew and Arabic in their right order
//! though unjoined; what the face lacks is written as its number.

use krilla::text::{Font, GlyphId, KrillaGlyph};
use skrifa::instance::{LocationRef, Size};
use skrifa::{FontRef, MetadataProvider};
use std::borrow::Cow;
use std::cell::Cell;

/// A face with its widths.
pub(super) struct Face {
    /// As it goes into the file.
    pub font: Font,
    /// Glyph and width of each letter, by its number.
    glyphs: Vec<Option<(u32, f32)>>,
    /// Whether a letter was asked for that it lacks.
    lacked: Cell<bool>,
}

fn right_to_left(c: char) -> bool {
    matches!(c, '\u{590}'..='\u{8ff}' | '\u{fb1d}'..='\u{fdff}' | '\u{fe70}'..='\u{fefc}')
}

/// Marks that stand on the letter before them.
fn is_mark(c: char) -> bool {
    matches!(c, '\u{591}'..='\u{5bd}' | '\u{5bf}' | '\u{5c1}' | '\u{5c2}' | '\u{64b}'..='\u{65f}' | '\u{670}')
}

/// Text in the order its letters stand on paper, left to right: runs of letters that are written from
/// the right are turned round.
pub(super) fn in_order_on_paper(text: &str) -> String {
    if !text.chars().any(right_to_left) {
        return text.to_owned();
    }
    let letters: Vec<char> = text.chars().collect();
    let mut out = String::with_capacity(text.len());
    let mut at = 0;
    while at < letters.len() {
        if !right_to_left(letters[at]) {
            out.push(letters[at]);
            at += 1;
            continue;
        }
        let mut end = at + 1;
        for (place, c) in letters.iter().enumerate().skip(at) {
            if right_to_left(*c) {
                end = place + 1;
            } else if !c.is_whitespace() {
                break;
            }
        }
        let mut groups: Vec<String> = Vec::new();
        for c in &letters[at..end] {
            match groups.last_mut() {
                Some(group) if is_mark(*c) => group.push(*c),
                _ => groups.push(c.to_string()),
            }
        }
        out.extend(groups.into_iter().rev());
        at = end;
    }
    out
}

impl Face {
    /// Reads a font file; none where it is not one.
    pub fn read(bytes: &'static [u8]) -> Option<Self> {
        let font = Font::new(bytes.into(), 0)?;
        let parsed = FontRef::new(bytes).ok()?;
        let widths = parsed.glyph_metrics(Size::new(1.0), LocationRef::default());
        let mut glyphs = Vec::new();
        for (code, glyph) in parsed.charmap().mappings() {
            let (at, width) = (code as usize, widths.advance_width(glyph)?);
            if glyphs.len() <= at {
                glyphs.resize(at + 1, None);
            }
            glyphs[at] = Some((glyph.to_u32(), width));
        }
        Some(Self {
            font,
            glyphs,
            lacked: Cell::new(false),
        })
    }

    fn glyph(&self, c: char) -> Option<(u32, f32)> {
        self.glyphs.get(c as usize).copied().flatten()
    }

    /// Text of which every letter has a glyph: what the face lacks, and what would steer, is written
    /// as its number.
    pub fn legible<'t>(&self, text: &'t str) -> Cow<'t, str> {
        // Most of it is plain, and the face has all of that.
        if text.bytes().all(|byte| (b' '..=b'~').contains(&byte)) {
            return Cow::Borrowed(text);
        }
        let mut out = String::with_capacity(text.len());
        for c in crate::quantity::show::harmless(text).chars() {
            if self.glyph(c).is_some() {
                out.push(c);
            } else {
                self.lacked.set(true);
                out.extend(c.escape_unicode());
            }
        }
        Cow::Owned(out)
    }

    /// Whether any text so far had a letter that stands as its number.
    pub const fn lacked(&self) -> bool {
        self.lacked.get()
    }

    /// Width of a legible text at this size, points.
    pub fn width(&self, text: &str, size: f32) -> f32 {
        text.chars().map(|c| self.advance(c)).sum::<f32>() * size
    }

    /// Width of a letter at size 1; 0 where the face lacks it.
    pub fn advance(&self, c: char) -> f32 {
        self.glyph(c).map_or(0.0, |(_, width)| width)
    }

    /// The glyphs of a legible text that stands in its order on paper.
    pub fn glyphs(&self, text: &str) -> Vec<KrillaGlyph> {
        text.char_indices()
            .filter_map(|(at, c)| {
                let (glyph, width) = self.glyph(c)?;
                Some(KrillaGlyph::new(
                    GlyphId::new(glyph),
                    width,
                    0.0,
                    0.0,
                    0.0,
                    at..at + c.len_utf8(),
                    None,
                ))
            })
            .collect()
    }

    /// Lines no wider than this: broken at blanks, and within a word only where it alone is too wide.
    pub fn wrapped(&self, text: &str, size: f32, width: f32) -> Vec<String> {
        let mut lines = Vec::new();
        let mut line = String::new();
        let mut used = 0.0;
        for word in self.legible(text).split(' ') {
            let wide = self.width(word, size);
            let blank = self.advance(' ') * size;
            if !line.is_empty() && used + blank + wide > width {
                lines.push(std::mem::take(&mut line));
                used = 0.0;
            }
            if !line.is_empty() {
                line.push(' ');
                used += blank;
            }
            if wide <= width {
                line.push_str(word);
                used += wide;
                continue;
            }
            for c in word.chars() {
                let step = self.advance(c) * size;
                if used + step > width && !line.is_empty() {
                    lines.push(std::mem::take(&mut line));
                    used = 0.0;
                }
                line.push(c);
                used += step;
            }
        }
        lines.push(line);
        lines
    }

    /// Width of the widest word, points.
    pub fn widest_word(&self, text: &str, size: f32) -> f32 {
        self.legible(text)
            .split(' ')
            .map(|word| self.width(word, size))
            .fold(0.0, f32::max)
    }
}

#[cfg(test)]
mod tests {
    use super::super::REGULAR;
    use super::*;

    #[test]
    fn a_letter_that_the_face_lacks_is_written_as_its_number() {
        let face = Face::read(REGULAR).unwrap();
        assert_eq!(face.legible("Ω µ ∠ é Ж 412"), "Ω µ ∠ é Ж 412");
        assert_eq!(face.legible("a\u{1f680}b"), "a\\u{1f680}b");
        assert_eq!(face.legible("a\u{202e}b"), "a\\u{202e}b");
    }

    #[test]
    fn words_from_the_right_stand_in_their_order_on_paper() {
        assert_eq!(in_order_on_paper("a אב גד b"), "a דג בא b");
        assert_eq!(in_order_on_paper("Hall 3"), "Hall 3");
    }

    #[test]
    fn a_name_too_wide_for_its_column_is_broken_and_no_letter_is_lost() {
        let face = Face::read(REGULAR).unwrap();
        let name = "x".repeat(300);
        let lines = face.wrapped(&name, 8.0, 100.0);
        assert!(lines.len() > 10);
        assert_eq!(lines.concat(), name);
        assert!(lines.iter().all(|line| face.width(line, 8.0) <= 100.0));
    }
}
