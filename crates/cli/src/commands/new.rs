//! `inkset new`: starter files.

use std::fs::OpenOptions;
use std::io::{ErrorKind, Write};
use std::path::Path;

use inkset_spec::{starter_job, starter_rate_card};

use crate::CliError;
use crate::args::NewArgs;
use crate::output::Output;

pub(crate) fn new(args: &NewArgs, out: &mut Output) -> Result<(), CliError> {
    let files = [
        ("job.toml", starter_job()),
        ("rates.toml", starter_rate_card()),
    ];
    if let Some((name, _)) = files
        .iter()
        .find(|(name, _)| args.folder.join(name).exists())
    {
        let path = args.folder.join(name);
        return Err(CliError::Usage(format!(
            "`{}` exists; nothing was written",
            path.display()
        )));
    }
    std::fs::create_dir_all(&args.folder)
        .map_err(|error| CliError::File(args.folder.clone(), error))?;
    for (name, text) in files {
        let path = args.folder.join(name);
        write_new(&path, text)?;
        out.message(&format!("wrote {}\n", path.display()));
    }
    out.message(&format!(
        "next: inkset price {}\n",
        args.folder.join("job.toml").display()
    ));
    Ok(())
}

/// Never overwrites, even when the file appears between the check and the writing.
fn write_new(path: &Path, text: &str) -> Result<(), CliError> {
    let trouble = |error: std::io::Error| match error.kind() {
        ErrorKind::AlreadyExists => {
            CliError::Usage(format!("`{}` exists; it was left as it is", path.display()))
        }
        _ => CliError::File(path.to_owned(), error),
    };
    let mut file = OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(path)
        .map_err(trouble)?;
    file.write_all(text.as_bytes()).map_err(trouble)
}
