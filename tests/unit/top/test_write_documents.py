import hashlib
from datetime import datetime
from pathlib import Path

import pytest
from django.core.management import call_command

from fitout.kit import documents
from fitout.kit.models import User


def _store(*, number: str, scope: str, filename: str, by: User, at: datetime) -> None:
    documents.store(
        kind="quote",
        number=number,
        title="Quote",
        scope=scope,
        filename=filename,
        content=f"content of {number}".encode(),
        at=at,
        by=by,
    )


def test_documents_of_a_job_lie_in_its_folder(
    tmp_path: Path, owner: User, now: datetime, capsys: pytest.CaptureFixture[str]
) -> None:
    _store(number="Q-0142-A", scope="job:142", filename="Q-0142-A.pdf", by=owner, at=now)
    _store(number="PO-00001", scope="orders", filename="PO-00001.pdf", by=owner, at=now)
    call_command("write_documents", tmp_path / "demo")
    assert (tmp_path / "demo/J-0142/Q-0142-A.pdf").read_bytes() == b"content of Q-0142-A"
    assert (tmp_path / "demo/PO-00001.pdf").read_bytes() == b"content of PO-00001"
    assert capsys.readouterr().out == f"2 documents in {tmp_path / 'demo'}\n"


def test_writing_again_gives_the_same_files(tmp_path: Path, owner: User, now: datetime) -> None:
    _store(number="Q-0142-A", scope="job:142", filename="Q-0142-A.pdf", by=owner, at=now)
    call_command("write_documents", tmp_path)
    call_command("write_documents", tmp_path)
    written = [path for path in tmp_path.rglob("*") if path.is_file()]
    assert [path.name for path in written] == ["Q-0142-A.pdf"]
    expected = hashlib.sha256(b"content of Q-0142-A").hexdigest()
    assert hashlib.sha256(written[0].read_bytes()).hexdigest() == expected


def test_a_file_name_never_leads_out_of_the_folder(
    tmp_path: Path, owner: User, now: datetime
) -> None:
    _store(number="X", scope="job:142", filename="../../escaped.pdf", by=owner, at=now)
    call_command("write_documents", tmp_path / "demo")
    assert (tmp_path / "demo/J-0142/escaped.pdf").exists()
