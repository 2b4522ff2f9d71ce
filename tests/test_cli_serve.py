"""``examwalk serve`` before anything is served: what is missing, and what cannot be."""

import pytest

from examwalk.cli import main


def test_without_its_extra_a_sentence_says_what_to_install(tmp_path, monkeypatch, capsys):
    monkeypatch.setattr("examwalk.cli_serve.find_spec", lambda _name: None)
    assert main(["serve", "--sessions", str(tmp_path)]) == 1
    said = capsys.readouterr()
    assert said.out == ""
    assert "pip install '.[serve]'" in said.err


@pytest.mark.parametrize("port", ["-1", "65536", "http", "1.5", "٣"])
def test_what_is_no_port_is_a_fault_of_the_command_line(port, capsys):
    with pytest.raises(SystemExit) as ended:
        main(["serve", f"--port={port}"])
    assert ended.value.code == 2
    assert "0 to 65535" in capsys.readouterr().err


def test_a_file_where_the_folder_would_be_is_said_before_anything_is_served(tmp_path, capsys):
    pytest.importorskip("textual_serve", reason="the extra “serve” is not installed")
    file = tmp_path / "visits"
    file.write_text("", encoding="utf-8")
    assert main(["serve", "--sessions", str(file)]) == 1
    assert "visits need a folder" in capsys.readouterr().err
