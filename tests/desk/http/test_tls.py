"""PostgreSQL over TLS: a server that proves who it is, and one that does not."""

import os
import shutil
import subprocess

import pytest
import sounds
from cluster import Cluster, new_base
from desk import PROGRAM, Desk, receipt_of


def openssl(folder, *words):
    subprocess.run(["openssl", *words], check=True, cwd=folder, capture_output=True)


def authority(folder, name):
    """A root certificate that nobody else knows."""
    openssl(
        folder, "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", "-subj", f"/CN={name}",
        "-keyout", f"{name}.key", "-out", f"{name}.pem",
    )


def certificate(folder, root, name, of):
    """A certificate for a server called `of`, signed by the root."""
    openssl(
        folder, "req", "-newkey", "rsa:2048", "-nodes", "-subj", f"/CN={of}", "-keyout", f"{name}.key",
        "-out", f"{name}.csr",
    )
    kind = "IP" if of[0].isdigit() else "DNS"
    (folder / "extensions").write_text(f"subjectAltName={kind}:{of}\n")
    openssl(
        folder, "x509", "-req", "-in", f"{name}.csr", "-CA", f"{root}.pem", "-CAkey", f"{root}.key",
        "-CAcreateserial", "-days", "2", "-extfile", "extensions", "-out", f"{name}.pem",
    )


@pytest.fixture(scope="module")
def tls(tmp_path_factory):
    """Servers that speak TLS to everybody, and the folder of all certificates."""
    folder = tmp_path_factory.mktemp("certificates")
    for root in ("ours", "stranger"):
        authority(folder, root)
    certificate(folder, "ours", "right", "127.0.0.1")
    certificate(folder, "ours", "other", "another-host.example")
    clusters = {}
    for name in ("right", "other"):
        cluster = Cluster()
        for ending in ("pem", "key"):
            there = cluster.folder / f"server.{ending}"
            shutil.copy(folder / f"{name}.{ending}", there)
            os.chmod(there, 0o600)
            if os.geteuid() == 0:
                shutil.chown(there, "postgres")
        # Nobody comes in without TLS.
        rules = cluster.folder / "rules"
        rules.write_text("local all all trust\nhostssl all all 127.0.0.1/32 trust\n")
        os.chmod(rules, 0o644)
        files = f"ssl_cert_file={cluster.folder}/server.pem", f"ssl_key_file={cluster.folder}/server.key"
        address = cluster.start("ssl=on", *files, f"hba_file={rules}")
        clusters[name] = (cluster, new_base(address, "club"))
    yield folder, {name: address for name, (_, address) in clusters.items()}
    for cluster, _ in clusters.values():
        cluster.stop()


@pytest.mark.parametrize("mode", ["require", "verify-ca", "verify-full"])
def test_the_desk_speaks_tls_with_its_database(tls, tmp_path, mode):
    folder, addresses = tls
    root = "" if mode == "require" else f"&sslrootcert={folder}/ours.pem"
    desk = Desk(tmp_path / "club", f"{addresses['right']}?sslmode={mode}{root}").start()
    try:
        if desk.setup_link:
            desk.set_up()
            repeater, link = desk.new_repeater()
            receipt_of(desk.send(link, "x.wav", sounds.short(1)))
            desk.all_analysed(repeater)
        used = "SELECT COUNT(*) FROM pg_stat_ssl s JOIN pg_stat_activity a USING (pid) " \
            "WHERE a.datname = 'club' AND a.pid <> pg_backend_pid() AND NOT s.ssl"
        assert desk.rows(used) == [("0",)]
        assert int(desk.rows(used.replace("AND NOT", "AND"))[0][0]) > 0
    finally:
        desk.stop()


@pytest.mark.parametrize(
    "server, words, part",
    [
        # Signed by somebody whom the desk was not told to trust.
        ("right", "sslmode=verify-full&sslrootcert={}/stranger.pem", "certificate"),
        ("right", "sslmode=verify-ca&sslrootcert={}/stranger.pem", "certificate"),
        # Signed by the right one, for another machine.
        ("other", "sslmode=verify-full&sslrootcert={}/ours.pem", "certificate"),
        ("right", "sslmode=verify-full&sslrootcert={}/not-there.pem", "No such file"),
        ("right", "sslmode=disable", "no encryption"),
    ],
)
def test_a_wrong_certificate_is_refused(tls, tmp_path, server, words, part):
    folder, addresses = tls
    at = f"{addresses[server]}?{words.format(folder)}"
    done = subprocess.run(
        [PROGRAM, "desk", "--folder", str(tmp_path / "club"), "--database", at, "--listen", "127.0.0.1:0"],
        capture_output=True, text=True, timeout=90,
    )
    print(done.stderr)
    assert done.returncode == 2 and done.stdout == ""
    assert "--database" in done.stderr and part in done.stderr, done.stderr
