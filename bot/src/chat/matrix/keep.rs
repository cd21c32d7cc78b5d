//! Files that only the bot's own user can read: its session, its store's key, its recovery key.

use std::fs::{self, DirBuilder, File, OpenOptions, Permissions};
use std::io::Write;
use std::os::unix::fs::{DirBuilderExt, OpenOptionsExt, PermissionsExt};
use std::path::{Path, PathBuf};

use anyhow::Context;
use serde::Serialize;
use serde::de::DeserializeOwned;

/// The mode of a folder that only its owner may enter.
const OWNER_ONLY: u32 = 0o700;

/// A folder of private files.
#[derive(Clone, Debug)]
pub struct Keep {
    folder: PathBuf,
}

impl Keep {
    /// Makes the folder where it is missing, and keeps everybody but its owner out of it.
    ///
    /// # Errors
    /// When it cannot be made, or belongs to somebody else.
    pub fn open(folder: &Path) -> anyhow::Result<Self> {
        DirBuilder::new()
            .recursive(true)
            .mode(OWNER_ONLY)
            .create(folder)
            .with_context(|| format!("cannot make the folder {}", folder.display()))?;
        fs::set_permissions(folder, Permissions::from_mode(OWNER_ONLY))
            .with_context(|| format!("cannot make the folder {} private", folder.display()))?;
        Ok(Self { folder: folder.to_owned() })
    }

    /// The place of a file in the folder.
    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.join(name)
    }

    /// Reads a file back; `None` where it was never written.
    pub(super) fn read<T: DeserializeOwned>(&self, name: &str) -> anyhow::Result<Option<T>> {
        let path = self.path(name);
        let text = match fs::read_to_string(&path) {
            Ok(text) => text,
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(None),
            Err(error) => return Err(error).with_context(|| format!("cannot read {}", path.display())),
        };
        serde_json::from_str(&text).map(Some).with_context(|| format!("{} is damaged", path.display()))
    }

    /// Writes a value, all of it or nothing, and makes it last.
    pub(super) fn write(&self, name: &str, value: &impl Serialize) -> anyhow::Result<()> {
        self.write_text(name, &serde_json::to_string_pretty(value)?)
    }

    /// Writes a text, all of it or nothing, and makes it last.
    pub(super) fn write_text(&self, name: &str, text: &str) -> anyhow::Result<()> {
        let (path, unfinished) = (self.path(name), self.path(&format!("{name}.new")));
        let write = || -> std::io::Result<()> {
            // Made anew, so that the mode holds: an older file would keep its own.
            match fs::remove_file(&unfinished) {
                Err(error) if error.kind() != std::io::ErrorKind::NotFound => return Err(error),
                _ => {}
            }
            let mut file = OpenOptions::new().write(true).create_new(true).mode(0o600).open(&unfinished)?;
            file.write_all(text.as_bytes())?;
            file.sync_all()?;
            fs::rename(&unfinished, &path)?;
            File::open(&self.folder)?.sync_all()
        };
        write().with_context(|| format!("cannot write {}", path.display()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_kept_is_private_and_comes_back() {
        let folder = tempfile::tempdir().unwrap();
        let keep = Keep::open(&folder.path().join("matrix")).unwrap();
        assert_eq!(keep.read::<String>("session").unwrap(), None);
        keep.write("session", &"first").unwrap();
        keep.write("session", &"second").unwrap();
        assert_eq!(keep.read::<String>("session").unwrap().as_deref(), Some("second"));

        let mode = |path: PathBuf| fs::metadata(path).unwrap().permissions().mode() & 0o777;
        assert_eq!(mode(keep.path("session")), 0o600);
        assert_eq!(mode(keep.path("")), 0o700);
    }

    #[test]
    fn a_folder_that_was_open_to_all_is_closed() {
        let folder = tempfile::tempdir().unwrap();
        fs::set_permissions(folder.path(), Permissions::from_mode(0o755)).unwrap();
        Keep::open(folder.path()).unwrap();
        assert_eq!(fs::metadata(folder.path()).unwrap().permissions().mode() & 0o777, OWNER_ONLY);
    }

    #[test]
    fn a_damaged_file_is_named() {
        let folder = tempfile::tempdir().unwrap();
        let keep = Keep::open(folder.path()).unwrap();
        fs::write(keep.path("session"), "{").unwrap();
        assert!(format!("{:#}", keep.read::<String>("session").unwrap_err()).contains("session is damaged"));
    }
}
