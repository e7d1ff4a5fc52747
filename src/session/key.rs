//! Keys as the session knows them: no terminal library behind.

/// A key that was pressed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)]
pub enum Key {
    Char(char),
    Enter,
    Esc,
    Tab,
    BackTab,
    Backspace,
    Delete,
    Up,
    Down,
    Left,
    Right,
    Home,
    End,
    PageUp,
    PageDown,
    F1,
    /// Ctrl-U: what is typed goes, the entry stays open.
    Clear,
}

impl Key {
    /// How the key is named on the screen.
    #[must_use]
    pub fn name(self) -> String {
        match self {
            Self::Char(' ') => "Space".to_owned(),
            Self::Char(c) => c.to_string(),
            Self::Clear => "Ctrl-U".to_owned(),
            other => format!("{other:?}"),
        }
    }
}
