//! Finding out why a port may not be opened: who may, and who has it.

use std::fs;
use std::os::unix::fs::MetadataExt;
use std::path::Path;

use nix::unistd::{Gid, Group, User, getegid, geteuid, getgroups};

/// Who may open a port, and who we are.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Permission {
    /// Group that owns the port, by name where it has one.
    pub group: String,
    /// User the daemon runs as.
    pub user: String,
    /// Is that user in the group?
    pub membership: Membership,
    /// Permission bits of the port, e.g. `0o660`.
    pub mode: u32,
}

/// Is the user in the port's group?
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Membership {
    /// No.
    Outside,
    /// The group list says so, but this log-in began before.
    NextLogin,
    /// Yes, and it does not help.
    Inside,
}

/// A program that has a port open.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Holder {
    /// Process id.
    pub pid: u32,
    /// Its name as the kernel knows it.
    pub command: String,
}

/// Looks at the owner of `path` and at the running user.
/// `None` when the port is gone or its metadata cannot be read.
pub(super) fn permission_of(path: &Path) -> Option<Permission> {
    let metadata = fs::metadata(path).ok()?;
    let gid = Gid::from_raw(metadata.gid());
    let uid = geteuid();
    let group = Group::from_gid(gid).ok().flatten();
    let user = User::from_uid(uid).ok().flatten();
    Some(Permission {
        membership: membership(gid, group.as_ref(), user.as_ref()),
        group: group.map_or_else(|| gid.to_string(), |group| group.name),
        user: user.map_or_else(|| uid.to_string(), |user| user.name),
        mode: metadata.mode() & 0o777,
    })
}

fn membership(gid: Gid, group: Option<&Group>, user: Option<&User>) -> Membership {
    let active = getegid() == gid || getgroups().is_ok_and(|groups| groups.contains(&gid));
    if active {
        return Membership::Inside;
    }
    let listed = match (group, user) {
        (Some(group), Some(user)) => user.gid == gid || group.mem.contains(&user.name),
        _ => false,
    };
    if listed {
        Membership::NextLogin
    } else {
        Membership::Outside
    }
}

/// Looks through `/proc` for another program that has `path` open. Programs of
/// other users can be seen only by root; then there is no answer.
pub(super) fn holder_of(path: &Path) -> Option<Holder> {
    holder_in(Path::new("/proc"), path, std::process::id())
}

fn holder_in(proc: &Path, path: &Path, own_pid: u32) -> Option<Holder> {
    let target = fs::canonicalize(path).ok()?;
    for entry in fs::read_dir(proc).ok()?.flatten() {
        let Some(pid) = entry
            .file_name()
            .to_str()
            .and_then(|name| name.parse::<u32>().ok())
        else {
            continue;
        };
        if pid == own_pid {
            continue;
        }
        let Ok(descriptors) = fs::read_dir(entry.path().join("fd")) else {
            continue;
        };
        let holds = descriptors
            .flatten()
            .any(|descriptor| fs::read_link(descriptor.path()).is_ok_and(|link| link == target));
        if holds {
            let command = fs::read_to_string(entry.path().join("comm")).unwrap_or_default();
            return Some(Holder {
                pid,
                command: command.trim().to_owned(),
            });
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use std::os::unix::fs::{PermissionsExt as _, symlink};

    use super::*;

    #[test]
    fn names_group_user_and_mode_of_a_path() {
        let file = tempfile::NamedTempFile::new().unwrap();
        fs::set_permissions(file.path(), fs::Permissions::from_mode(0o640)).unwrap();
        let permission = permission_of(file.path()).unwrap();
        // A file of our own belongs to a group we are in.
        assert_eq!(permission.membership, Membership::Inside);
        assert!(!permission.group.is_empty() && !permission.user.is_empty());
        assert_eq!(permission.mode, 0o640);
    }

    #[test]
    fn a_path_that_is_gone_has_no_permissions() {
        assert_eq!(permission_of(Path::new("/nowhere/at/all")), None);
    }

    #[test]
    fn finds_the_program_that_has_a_port_open() {
        let root = tempfile::tempdir().unwrap();
        let port = root.path().join("ttyUSB0");
        fs::write(&port, "").unwrap();
        for (pid, command, target) in [
            (12, "editor", "/elsewhere"),
            (77, "terminal", port.to_str().unwrap()),
        ] {
            let fd = root.path().join(format!("proc/{pid}/fd"));
            fs::create_dir_all(&fd).unwrap();
            fs::write(fd.join("../comm"), format!("{command}\n")).unwrap();
            symlink(
                fs::canonicalize(target).unwrap_or_else(|_| target.into()),
                fd.join("3"),
            )
            .unwrap();
        }
        let proc = root.path().join("proc");
        let found = holder_in(&proc, &port, 1);
        assert_eq!(
            found,
            Some(Holder {
                pid: 77,
                command: "terminal".to_owned()
            })
        );
        assert_eq!(
            holder_in(&proc, &port, 77),
            None,
            "the daemon itself does not count"
        );
    }
}
