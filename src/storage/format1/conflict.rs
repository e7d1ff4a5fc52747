//! What git leaves of a merge that it could not do: its markers, and a file's name for the commands
//! that do it.

/// The file's own name, without its folders.
pub(super) fn last_part(name: &str) -> &str {
    name.rsplit(['/', '\\']).next().unwrap_or(name)
}

/// A file's name as one types it: in quotes where it holds more than letters, digits and `._-`.
pub(super) fn for_a_shell(name: &str) -> String {
    let plain = |c: char| c.is_alphanumeric() || "._-".contains(c);
    if !name.is_empty() && name.chars().all(plain) {
        name.to_owned()
    } else {
        format!("'{}'", name.replace('\'', "'\\''"))
    }
}

/// The first line that only git writes.
pub(super) fn marker(text: &str) -> Option<usize> {
    let mut start = 0;
    for line in text.split_inclusive('\n') {
        let bare = line.trim_end();
        if bare == "======="
            || ["<<<<<<< ", ">>>>>>> ", "||||||| "]
                .iter()
                .any(|m| line.starts_with(m))
        {
            return Some(start);
        }
        start += line.len();
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_quoted_for_a_shell_where_it_must_be() {
        assert_eq!(for_a_shell(last_part("/sites/house.ron")), "house.ron");
        assert_eq!(for_a_shell("old house.ron"), "'old house.ron'");
        assert_eq!(for_a_shell("it's; rm.ron"), "'it'\\''s; rm.ron'");
    }
}
