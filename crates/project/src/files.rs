//! The folder: its files read with their paths in every message, and never one outside it.

/// A path from the project folder, with `/`, that stays inside it.
///
/// # Errors
/// What is wrong with it, to stand after the path in a message.
pub fn inside(path: &str) -> Result<String, &'static str> {
    let path = path.trim();
    if path.contains('\\') {
        return Err("has a backslash; parts of a path are separated by / here");
    }
    if path.starts_with('/') || path.contains(':') {
        return Err("does not start at the project folder");
    }
    let parts: Vec<&str> = path.split('/').filter(|part| !part.is_empty() && *part != ".").collect();
    if parts.contains(&"..") {
        return Err("leaves the project folder");
    }
    if parts.is_empty() {
        return Err("names no file");
    }
    Ok(parts.join("/"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_stay_inside() {
        assert_eq!(inside("logs/one.csv").unwrap(), "logs/one.csv");
        assert_eq!(inside("./logs//one.csv").unwrap(), "logs/one.csv");
        for path in
            ["/etc/passwd", "../one.csv", "logs/../../one.csv", "C:/one.csv", "logs\\one.csv", "", "."]
        {
            assert!(inside(path).is_err(), "{path}");
        }
    }
}
