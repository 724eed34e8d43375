//! Reads the corpus folder.

use crate::error::{Error, Result};
use std::path::Path;

/// TOML files of the folder and its sub-folders: path within the folder (with `/`) and text, in
/// order of the path.
pub fn read(root: &Path) -> Result<Vec<(String, String)>> {
    let mut files = Vec::new();
    let mut folders = vec![(root.to_path_buf(), String::new())];
    while let Some((folder, prefix)) = folders.pop() {
        let failed = |error| Error::io(folder.display().to_string(), error);
        for entry in std::fs::read_dir(&folder).map_err(failed)? {
            let path = entry.map_err(failed)?.path();
            let Some(name) = path.file_name().and_then(|name| name.to_str()) else {
                continue;
            };
            let within = format!("{prefix}{name}");
            if path.is_dir() {
                folders.push((path, format!("{within}/")));
            } else if within.ends_with(".toml") {
                let text = std::fs::read_to_string(&path)
                    .map_err(|error| Error::io(path.display().to_string(), error))?;
                files.push((within, text));
            }
        }
    }
    files.sort();
    Ok(files)
}
