//! A source file as its words: comments, strings and characters left out, paths written whole.
//!
//! No parser of the language: enough of it to see which modules a file names, and where.

use std::fmt;

/// A source file.
#[derive(Clone)]
pub struct Source {
    /// Its path below the package, as `src/session/key.rs`.
    pub path: String,
    /// Its text.
    pub text: String,
    /// Its words.
    pub words: Vec<Word>,
}

/// A name, a number or a sign; `::` is one word.
#[derive(Clone, Debug, PartialEq)]
pub struct Word {
    pub text: String,
    pub line: usize,
    /// The module it stands in, from the crate's root.
    pub module: Vec<String>,
}

/// A path that the file names, from the crate's root where it begins there.
#[derive(Clone, Debug, PartialEq)]
pub struct Named {
    /// Whether it lies in this package.
    pub own: bool,
    /// Its names, `crate`, `self` and `super` resolved.
    pub names: Vec<String>,
    pub line: usize,
}

impl fmt::Display for Named {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.names.join("::"))
    }
}

impl Source {
    pub fn of(path: &str, text: &str) -> Self {
        let mut words = words(text);
        place(&mut words, module_of(path));
        Self {
            path: path.to_owned(),
            text: text.to_owned(),
            words,
        }
    }

    /// The top-level module it belongs to; empty for `lib.rs` and `main.rs`.
    pub fn layer(&self) -> String {
        module_of(&self.path).into_iter().next().unwrap_or_default()
    }

    fn word(&self, at: usize) -> &str {
        self.words.get(at).map_or("", |word| &word.text)
    }

    /// Every path the file names, groups written out: `use a::{b, c::d}` is `a::b` and `a::c::d`.
    pub fn named(&self) -> Vec<Named> {
        let mut out = Vec::new();
        let mut at = 0;
        while at < self.words.len() {
            let visibility = at > 1 && self.word(at - 1) == "(" && self.word(at - 2) == "pub";
            if is_name(self.word(at)) && !visibility {
                at = self.path_from(at, &mut Vec::new(), &mut out);
            } else {
                at += 1;
            }
        }
        out
    }

    /// Reads the path that begins here; returns where it ends.
    fn path_from(&self, mut at: usize, before: &mut Vec<usize>, out: &mut Vec<Named>) -> usize {
        let kept = before.len();
        loop {
            before.push(at);
            at += 1;
            if self.word(at) != "::" {
                break;
            }
            match self.word(at + 1) {
                "{" => {
                    at = self.group_from(at + 2, before, out);
                    before.truncate(kept);
                    return at;
                }
                next if is_name(next) || next == "*" => at += 1,
                _ => break,
            }
        }
        out.push(self.resolve(before));
        before.truncate(kept);
        if self.word(at) == "as" { at + 2 } else { at }
    }

    fn group_from(&self, mut at: usize, before: &mut Vec<usize>, out: &mut Vec<Named>) -> usize {
        while at < self.words.len() {
            match self.word(at) {
                "}" => return at + 1,
                word if is_name(word) || word == "*" => at = self.path_from(at, before, out),
                _ => at += 1,
            }
        }
        at
    }

    fn resolve(&self, path: &[usize]) -> Named {
        let first = &self.words[path[0]];
        let mut names: Vec<String> = Vec::new();
        let mut own = false;
        for (count, at) in path.iter().enumerate() {
            let word = &self.words[*at];
            match word.text.as_str() {
                "crate" if count == 0 => own = true,
                // The program names the library so; elsewhere it is a name like any other.
                "linewright" if count == 0 && path.len() > 1 => own = true,
                "self" if count == 0 && path.len() > 1 => {
                    own = true;
                    names.clone_from(&first.module);
                }
                "self" => {}
                "super" => {
                    if count == 0 {
                        own = true;
                        names.clone_from(&first.module);
                    }
                    names.pop();
                }
                name => names.push(name.to_owned()),
            }
        }
        Named {
            own,
            names,
            line: first.line,
        }
    }

    /// Fields that are yes or no, by the type that has them; functions that answer so apart.
    pub fn yes_or_no(&self) -> Vec<(String, usize)> {
        let mut out = Vec::new();
        for at in 0..self.words.len() {
            if !matches!(self.word(at), "struct" | "enum") || !is_name(self.word(at + 1)) {
                continue;
            }
            let mut depth = 0i32;
            let mut count = 0;
            for inner in at + 2..self.words.len() {
                match self.word(inner) {
                    "{" | "(" => depth += 1,
                    "}" | ")" => depth -= 1,
                    ";" if depth == 0 => break,
                    "bool" if self.word(inner - 1) != ">" => count += 1,
                    _ => {}
                }
                if depth == 0 && self.word(inner) == "}" {
                    break;
                }
            }
            out.push((self.word(at + 1).to_owned(), count));
        }
        out
    }

    /// The text at its head that says what it is.
    pub fn head(&self) -> String {
        let lines = self.text.lines();
        let head: Vec<&str> = lines.take_while(|line| line.starts_with("//!")).collect();
        head.join("\n")
    }
}

fn is_name(word: &str) -> bool {
    word.starts_with(|c: char| c.is_alphabetic() || c == '_')
}

/// `src/session/view/help.rs` is `session::view::help`.
fn module_of(path: &str) -> Vec<String> {
    let path = path.trim_start_matches("src/").trim_end_matches(".rs");
    let names = path.split('/').filter(|name| *name != "mod");
    let names: Vec<String> = names.map(str::to_owned).collect();
    match names.as_slice() {
        [only] if only == "lib" || only == "main" => Vec::new(),
        _ => names,
    }
}

/// Tells each word its module: the file's, and those written inside it.
fn place(words: &mut [Word], file: Vec<String>) {
    let mut module = file;
    let mut opened: Vec<i32> = Vec::new();
    let mut depth = 0;
    for at in 0..words.len() {
        words[at].module.clone_from(&module);
        match words[at].text.as_str() {
            "{" => {
                if at > 1 && words[at - 2].text == "mod" {
                    module.push(words[at - 1].text.clone());
                    opened.push(depth);
                }
                depth += 1;
            }
            "}" => {
                depth -= 1;
                if opened.last() == Some(&depth) {
                    opened.pop();
                    module.pop();
                }
            }
            _ => {}
        }
    }
}

fn words(text: &str) -> Vec<Word> {
    let chars: Vec<char> = text.chars().collect();
    let char_at = |at: usize| chars.get(at).copied().unwrap_or('\0');
    let mut out: Vec<Word> = Vec::new();
    let (mut at, mut line) = (0, 1);
    while at < chars.len() {
        let from = at;
        match char_at(at) {
            '/' if char_at(at + 1) == '/' => {
                while at < chars.len() && char_at(at) != '\n' {
                    at += 1;
                }
            }
            '/' if char_at(at + 1) == '*' => at = comment_end(&chars, at),
            '"' => at = string_end(&chars, at),
            '\'' if char_at(at + 1) == '\\' => {
                at += 3;
                while at < chars.len() && char_at(at) != '\'' {
                    at += 1;
                }
                at += 1;
            }
            '\'' if char_at(at + 2) == '\'' => at += 3,
            c if c.is_alphanumeric() || c == '_' => {
                while char_at(at).is_alphanumeric() || char_at(at) == '_' {
                    at += 1;
                }
                let word: String = chars[from..at].iter().collect();
                match (word.as_str(), raw_mark(&chars, at)) {
                    ("r" | "br" | "cr", Some(marks)) => at = raw_end(&chars, at, marks),
                    // A raw name: the name follows.
                    ("r", None) if char_at(at) == '#' => at += 1,
                    _ => out.push(word_of(word, line)),
                }
            }
            ':' if char_at(at + 1) == ':' => {
                out.push(word_of("::".to_owned(), line));
                at += 2;
            }
            c => {
                if !c.is_whitespace() {
                    out.push(word_of(c.to_string(), line));
                }
                at += 1;
            }
        }
        let passed = &chars[from..at.min(chars.len())];
        line += passed.iter().filter(|c| **c == '\n').count();
    }
    out
}

fn word_of(text: String, line: usize) -> Word {
    Word {
        text,
        line,
        module: Vec::new(),
    }
}

/// Behind a `/*`, which may hold others.
fn comment_end(chars: &[char], mut at: usize) -> usize {
    let mut depth = 0;
    while at < chars.len() {
        match chars[at..].get(..2) {
            Some(['/', '*']) => depth += 1,
            Some(['*', '/']) => depth -= 1,
            _ => {
                at += 1;
                continue;
            }
        }
        at += 2;
        if depth == 0 {
            break;
        }
    }
    at
}

fn string_end(chars: &[char], mut at: usize) -> usize {
    at += 1;
    while at < chars.len() && chars[at] != '"' {
        at += if chars[at] == '\\' { 2 } else { 1 };
    }
    at + 1
}

/// How many `#` stand before the quote of a raw string; none where there is no such string.
fn raw_mark(chars: &[char], at: usize) -> Option<usize> {
    let marks = chars[at..].iter().take_while(|c| **c == '#').count();
    (chars.get(at + marks) == Some(&'"')).then_some(marks)
}

fn raw_end(chars: &[char], at: usize, marks: usize) -> usize {
    let mut at = at + marks + 1;
    while at < chars.len() {
        let closes =
            chars[at] == '"' && chars[at + 1..].iter().take_while(|c| **c == '#').count() >= marks;
        at += 1;
        if closes {
            return at + marks;
        }
    }
    at
}

mod tests {
    use super::Source;

    #[track_caller]
    fn names(path: &str, text: &str) -> Vec<String> {
        let named = Source::of(path, text).named();
        let own = named.iter().filter(|it| it.own);
        own.map(ToString::to_string).collect()
    }

    #[test]
    fn a_path_is_found_however_it_is_written() {
        let path = "src/session/view/help.rs";
        let cases: [(&str, &[&str]); 8] = [
            ("use crate::storage::Store;", &["storage::Store"]),
            ("fn f() -> crate::tui::Theme { g() }", &["tui::Theme"]),
            (
                "use crate::{site::{Site, log::Log as L}, tui};",
                &["site::Site", "site::log::Log", "tui"],
            ),
            ("use super::super::super::cli::main;", &["cli::main"]),
            (
                "use super::super::keys::{self, Place};",
                &["session::keys", "session::keys::Place"],
            ),
            (
                "mod tests { use super::super::super::super::tui; }",
                &["tui"],
            ),
            (
                "mod tests { use super::super::text; }",
                &["session::view::text"],
            ),
            (
                "let it = [crate::site::RACK; 2].map(crate::cli::say);",
                &["site::RACK", "cli::say"],
            ),
        ];
        for (text, wanted) in cases {
            assert_eq!(names(path, text), wanted, "{text}");
        }
    }

    #[test]
    fn what_stands_in_a_comment_or_a_string_is_not_named() {
        let text = "// use crate::tui;\n/* crate::cli /* crate::cli */ crate::cli */\n\
                    let a = \"crate::tui \\\" crate::tui\"; let b = r#\"crate::tui \" crate::tui\"#;\n\
                    let c = '\"'; let d = '\\''; fn e<'a>(x: &'a str) {}\n\
                    use crate::site::Site;";
        assert_eq!(names("src/session/mod.rs", text), ["site::Site"]);
        let last = Source::of("src/session/mod.rs", text).named().pop();
        assert_eq!(last.map(|it| it.line), Some(5));
    }

    #[test]
    fn a_visibility_is_not_a_use() {
        assert_eq!(names("src/site/mod.rs", "pub(crate) fn f() {}"), [""; 0]);
        assert_eq!(names("src/site/mod.rs", "pub(super) fn f() {}"), [""; 0]);
    }

    #[test]
    fn yes_or_no_is_counted_by_type_and_an_answer_is_not_a_field() {
        let text = "struct A<T> { a: bool, b: Option<bool>, c: fn(T) -> bool }\n\
                    pub struct B(bool, pub bool);\n\
                    struct C;\n\
                    enum D { X { a: bool }, Y(bool), Z }\n\
                    fn f(a: bool) {}";
        let found = Source::of("src/tui/run.rs", text).yes_or_no();
        let wanted = [("A", 2), ("B", 2), ("C", 0), ("D", 2)];
        assert_eq!(found, wanted.map(|(name, count)| (name.to_owned(), count)));
    }
}
