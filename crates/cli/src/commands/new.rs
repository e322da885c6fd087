//! `inkset new`: starter files.

use std::io::ErrorKind;
use std::path::Path;

use inkset_spec::{starter_job, starter_rate_card};

use crate::CliError;
use crate::args::NewArgs;
use crate::files::write_new;
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
        write_starter(&path, text)?;
        out.message(&format!("wrote {}\n", path.display()));
    }
    out.message(&format!(
        "next: inkset price {}\n",
        args.folder.join("job.toml").display()
    ));
    Ok(())
}

fn write_starter(path: &Path, text: &str) -> Result<(), CliError> {
    let written = write_new(path, text.as_bytes());
    written.map_err(|error| match error.kind() {
        ErrorKind::AlreadyExists => {
            CliError::Usage(format!("`{}` exists; it was left as it is", path.display()))
        }
        _ => CliError::File(path.to_owned(), error),
    })
}
