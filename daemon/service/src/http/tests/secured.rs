//! HTTPS over real sockets of this machine, with a client that trusts the authority and nothing else.

use std::net::SocketAddr;
use std::sync::Arc;
use std::time::{Duration, Instant};

use rustls::pki_types::pem::PemObject as _;
use rustls::pki_types::{CertificateDer, ServerName};
use rustls::{ClientConfig, RootCertStore};
use tokio::io::{AsyncRead, AsyncReadExt as _, AsyncWrite, AsyncWriteExt as _};
use tokio::net::{TcpListener, TcpStream};
use tokio::task::JoinHandle;
use tokio_rustls::{TlsConnector, rustls};
use tokio_util::sync::CancellationToken;

use super::*;

struct Secured {
    address: SocketAddr,
    stop: CancellationToken,
    served: JoinHandle<std::io::Result<()>>,
    authority: String,
}

async fn secured() -> Secured {
    let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let address = listener.local_addr().unwrap();
    let desk = reach::tests::desk(&address.to_string(), true);
    let authority = desk.ways().certificate.unwrap().pem.to_string();
    let served = served_at(desk.clone());
    let stop = served.stop.clone();
    let stopped = stop.clone();
    let serving = async move { crate::http::serve(listener, served.router, &desk, stopped).await };
    Secured {
        address,
        stop,
        served: tokio::spawn(serving),
        authority,
    }
}

/// What comes back for a request on a connection.
async fn answer(mut line: impl AsyncRead + AsyncWrite + Unpin, request: &str) -> String {
    line.write_all(request.as_bytes()).await.unwrap();
    let mut said = Vec::new();
    line.read_to_end(&mut said).await.unwrap();
    String::from_utf8(said).unwrap()
}

impl Secured {
    fn head(&self, method: &str, path: &str) -> String {
        format!(
            "{method} {path} HTTP/1.1\r\nHost: {}\r\nConnection: close\r\nContent-Length: 0\r\n\r\n",
            self.address
        )
    }

    async fn plain(&self, method: &str, path: &str) -> String {
        let line = TcpStream::connect(self.address).await.unwrap();
        answer(line, &self.head(method, path)).await
    }

    async fn secure(&self, path: &str) -> String {
        let mut roots = RootCertStore::empty();
        roots
            .add(CertificateDer::from_pem_slice(self.authority.as_bytes()).unwrap())
            .unwrap();
        let provider = Arc::new(rustls::crypto::ring::default_provider());
        let config = ClientConfig::builder_with_provider(provider)
            .with_safe_default_protocol_versions()
            .unwrap()
            .with_root_certificates(roots)
            .with_no_client_auth();
        let line = TcpStream::connect(self.address).await.unwrap();
        let name = ServerName::IpAddress(self.address.ip().into());
        let connector = TlsConnector::from(Arc::new(config));
        let line = connector.connect(name, line).await.unwrap();
        answer(line, &self.head("GET", path)).await
    }
}

#[tokio::test]
async fn page_and_interface_are_served_to_whoever_trusts_the_authority() {
    let secured = secured().await;
    for (path, holds) in [("/api/v1/health", "\"ok\""), ("/", "<title>hubplumb")] {
        let said = secured.secure(path).await;
        assert!(said.starts_with("HTTP/1.1 200"), "{path}: {said}");
        assert!(said.contains(holds), "{path}: {said}");
    }
}

#[tokio::test]
async fn over_plain_http_there_is_the_certificate_and_the_way_to_the_page() {
    let secured = secured().await;
    let said = secured.plain("GET", "/certificate.pem").await;
    assert!(said.ends_with(&secured.authority), "{said}");
    for path in ["/", "/sheet/3"] {
        let said = secured.plain("GET", path).await;
        assert!(said.starts_with("HTTP/1.1 200"), "{said}");
        let link = format!("href=\"https://{}{path}\"", secured.address);
        assert!(said.contains(&link), "{said}");
        assert!(said.contains("SHA-256"), "{said}");
        assert!(!said.contains("<script"), "{said}");
    }
}

#[tokio::test]
async fn over_plain_http_nothing_is_told_or_done() {
    let secured = secured().await;
    for (method, path) in [
        ("GET", "/api/v1/state"),
        ("POST", "/api/v1/swing/cancel"),
        ("POST", "/"),
        ("PUT", "/certificate.pem"),
    ] {
        let said = secured.plain(method, path).await;
        assert!(!said.starts_with("HTTP/1.1 2"), "{method} {path}: {said}");
        assert!(said.contains("remedy"), "{method} {path}: {said}");
    }
    assert!(
        secured
            .plain("GET", "/api/v1/state")
            .await
            .contains("https_only")
    );
}

/// Browsers open connections ahead of need; they hold nothing up.
#[tokio::test]
async fn the_end_comes_in_time_while_others_say_nothing() {
    let secured = secured().await;
    let mut silent = Vec::new();
    for _ in 0..5 {
        silent.push(TcpStream::connect(secured.address).await.unwrap());
    }
    // One is in the middle of being secured.
    silent[0].write_all(&[22, 3, 1]).await.unwrap();
    assert!(secured.secure("/api/v1/health").await.contains("\"ok\""));
    let began = Instant::now();
    secured.stop.cancel();
    secured.served.await.unwrap().unwrap();
    assert!(
        began.elapsed() < Duration::from_secs(2),
        "{:?}",
        began.elapsed()
    );
}
