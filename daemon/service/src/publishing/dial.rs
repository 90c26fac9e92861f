//! Getting through to the broker.

use std::future::Future;
use std::io;
use std::os::unix::fs::PermissionsExt as _;
use std::path::Path;
use std::sync::Arc;

use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::{TcpStream, lookup_host};
use tokio_rustls::TlsConnector;
use tokio_rustls::client::TlsStream;
use tokio_rustls::rustls::crypto::ring;
use tokio_rustls::rustls::pki_types::pem::PemObject as _;
use tokio_rustls::rustls::pki_types::{CertificateDer, ServerName};
use tokio_rustls::rustls::{ClientConfig, RootCertStore};
use tokio_util::either::Either;

use super::lost::Lost;
use super::wire::Hello;
use crate::config::MqttConfig;

/// Rights of anybody but the owner.
const OTHERS: u32 = 0o077;

/// A way to the broker; another one in tests.
pub(crate) trait Dial: Send + Sync {
    /// The stream it gives.
    type Stream: AsyncRead + AsyncWrite + Unpin + Send;

    /// Gets through.
    fn dial(&self) -> impl Future<Output = Result<Self::Stream, Lost>> + Send;

    /// What is said first. It is asked for each time: a password may have been changed.
    fn hello(&self) -> impl Future<Output = Result<Hello, Lost>> + Send;
}

/// The way over the network.
#[derive(Debug)]
pub(crate) struct Network {
    config: MqttConfig,
    client_id: String,
}

impl Network {
    pub(crate) fn new(config: MqttConfig) -> Self {
        let client_id = config.client_id.clone().unwrap_or_else(usual_client_id);
        Self { config, client_id }
    }

    async fn secured(&self, file: &Path, stream: TcpStream) -> Result<TlsStream<TcpStream>, Lost> {
        let at_fault = |why: String| Lost::Authority {
            file: file.to_path_buf(),
            why,
        };
        let text = tokio::fs::read(file)
            .await
            .map_err(|error| at_fault(error.to_string()))?;
        let mut roots = RootCertStore::empty();
        for certificate in CertificateDer::pem_slice_iter(&text) {
            let certificate = certificate.map_err(|error| at_fault(error.to_string()))?;
            // A bundle may hold some that are not understood; those that are do.
            let _one_less = roots.add(certificate);
        }
        if roots.is_empty() {
            return Err(at_fault("there is no certificate in it".to_owned()));
        }
        let config = ClientConfig::builder_with_provider(Arc::new(ring::default_provider()))
            .with_safe_default_protocol_versions()
            .map_err(|error| Lost::Tls {
                why: error.to_string(),
            })?
            .with_root_certificates(roots)
            .with_no_client_auth();
        let name = ServerName::try_from(self.config.host.clone()).map_err(|error| Lost::Tls {
            why: error.to_string(),
        })?;
        TlsConnector::from(Arc::new(config))
            .connect(name, stream)
            .await
            .map_err(|error| Lost::Tls {
                why: error.to_string(),
            })
    }
}

impl Dial for Network {
    type Stream = Reached;

    async fn dial(&self) -> Result<Reached, Lost> {
        let address = (self.config.host.as_str(), self.config.port);
        let found = lookup_host(address).await.map_err(|error| Lost::NoName {
            why: error.to_string(),
        })?;
        let mut last = Lost::NoName {
            why: "it has no address".to_owned(),
        };
        for address in found {
            match TcpStream::connect(address).await {
                Ok(stream) => {
                    // Documents are small and wanted now.
                    let _slower = stream.set_nodelay(true);
                    return match &self.config.ca_file {
                        None => Ok(Either::Left(stream)),
                        Some(file) => {
                            let stream = self.secured(file, stream).await?;
                            Ok(Either::Right(Box::new(stream)))
                        }
                    };
                }
                Err(error) => last = not_reached(&error),
            }
        }
        Err(last)
    }

    async fn hello(&self) -> Result<Hello, Lost> {
        let password = match &self.config.password_file {
            Some(file) => Some(password(file).await?),
            None => None,
        };
        Ok(Hello {
            prefix: self.config.prefix.clone(),
            client_id: self.client_id.clone(),
            user: self.config.user.clone(),
            password,
        })
    }
}

fn not_reached(error: &io::Error) -> Lost {
    match error.kind() {
        io::ErrorKind::ConnectionRefused => Lost::Refused,
        io::ErrorKind::TimedOut => Lost::NoAnswer,
        _ => Lost::Unreachable {
            why: error.to_string(),
        },
    }
}

/// Two daemons with one identifier would throw each other out, so it has the machine's name in it.
fn usual_client_id() -> String {
    let host = nix::unistd::gethostname()
        .ok()
        .and_then(|name| name.into_string().ok())
        .unwrap_or_default();
    let host: String = host
        .chars()
        .filter(|c| c.is_ascii_alphanumeric() || *c == '-')
        .take(40)
        .collect();
    format!("hubplumb-{host}").trim_end_matches('-').to_owned()
}

/// The password: the first line of a file that nobody but its owner can read.
pub(crate) async fn password(file: &Path) -> Result<Vec<u8>, Lost> {
    let unread = |error: io::Error| Lost::PasswordUnread {
        file: file.to_path_buf(),
        why: error.to_string(),
    };
    let rights = tokio::fs::metadata(file).await.map_err(unread)?;
    let mode = rights.permissions().mode() & 0o777;
    if mode & OTHERS != 0 {
        return Err(Lost::PasswordOpen {
            file: file.to_path_buf(),
            mode,
        });
    }
    let content = tokio::fs::read(file).await.map_err(unread)?;
    let line = content.split(|byte| *byte == b'\n').next();
    let line = line.unwrap_or_default();
    Ok(line.strip_suffix(b"\r").unwrap_or(line).to_vec())
}

/// A connection over the network: as it is, or secured.
pub(crate) type Reached = Either<TcpStream, Box<TlsStream<TcpStream>>>;

#[cfg(test)]
mod tests {
    use std::fs::{self, Permissions};

    use super::*;

    #[tokio::test]
    async fn a_password_that_others_can_read_is_not_used() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("password");
        let read = || password(&file);
        assert!(matches!(read().await, Err(Lost::PasswordUnread { .. })));
        fs::write(&file, "open sesame \r\nnot this\n").unwrap();
        for (mode, open) in [(0o644, true), (0o640, true), (0o604, true), (0o600, false)] {
            fs::set_permissions(&file, Permissions::from_mode(mode)).unwrap();
            let expected = if open {
                Err(Lost::PasswordOpen {
                    file: file.clone(),
                    mode,
                })
            } else {
                Ok(b"open sesame ".to_vec())
            };
            assert_eq!(read().await, expected, "{mode:o}");
        }
    }

    #[test]
    fn the_usual_identifier_is_one_that_every_broker_takes() {
        let id = usual_client_id();
        assert!(id.starts_with("hubplumb") && id.len() <= 49, "{id}");
    }
}
