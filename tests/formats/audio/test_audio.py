"""Reading sound recordings: formats, channels, and files that are none."""

from __future__ import annotations

import importlib
import io
import tracemalloc
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
import soundfile  # type: ignore[import-untyped]
from numpy.typing import NDArray

from tickover.demo.enginesound import engine_sound
from tickover.formats.audio.sound_file import audio_blocks, audio_shape, track_audio
from tickover.formats.audio.wav_cut_off import held_share
from tickover.formats.errors import FormatError

RATE_HZ = 44_100
TONE = (0.5 * np.sin(2 * np.pi * 220.0 * np.arange(3 * RATE_HZ) / RATE_HZ)).astype(np.float32)


def written(path: Path, samples: NDArray[np.float32], rate_hz: int = RATE_HZ, **more: str) -> Path:
    soundfile.write(path, samples, rate_hz, **more)
    return path


def read(path: Path) -> NDArray[np.float32]:
    return np.concatenate(list(audio_blocks(path)))


def m4a(path: Path, samples: NDArray[np.float32]) -> Path:
    av = pytest.importorskip("av", reason="the library av is not installed")
    with av.open(str(path), "w", format="ipod") as box:
        stream = box.add_stream("aac", rate=RATE_HZ)
        stream.layout = "mono"
        for start in range(0, samples.size - 1023, 1024):
            frame = av.AudioFrame.from_ndarray(samples[None, start : start + 1024], "fltp", "mono")
            frame.rate, frame.pts = RATE_HZ, start
            box.mux(stream.encode(frame))
        box.mux(stream.encode(None))
    return path


@pytest.mark.parametrize("kind", ["wav", "flac", "ogg", "mp3"])
def test_the_usual_formats_are_read(tmp_path: Path, kind: str) -> None:
    path = written(tmp_path / f"run.{kind}", TONE)
    assert audio_shape(path).rate_hz == RATE_HZ
    samples = read(path)
    assert samples.size == pytest.approx(TONE.size, abs=4000)
    middle = samples[20_000:100_000]
    assert np.sqrt(np.mean(middle**2)) == pytest.approx(0.5 / np.sqrt(2), rel=0.05)
    assert np.abs(np.fft.rfft(middle)).argmax() * RATE_HZ / middle.size == pytest.approx(220.0, abs=1.0)


def test_a_telephones_m4a_is_read(tmp_path: Path) -> None:
    path = m4a(tmp_path / "memo.m4a", TONE)
    shape = audio_shape(path)
    assert (shape.rate_hz, shape.channels) == (RATE_HZ, 1)
    assert shape.length_s == pytest.approx(3.0, abs=0.1)
    assert np.sqrt(np.mean(read(path) ** 2)) == pytest.approx(0.5 / np.sqrt(2), rel=0.05)


def test_without_the_optional_library_an_m4a_says_how_to_get_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = m4a(tmp_path / "memo.m4a", TONE)

    def missing(name: str) -> ModuleType:
        if name == "av":
            raise ImportError(name)
        return importlib.import_module(name)

    monkeypatch.setattr("tickover.formats.audio.m4a.import_module", missing)
    with pytest.raises(FormatError, match=r"pip install 'tickover\[m4a\]'.*WAV, FLAC, OGG or MP3"):
        audio_shape(path)


def test_the_content_counts_and_not_the_name(tmp_path: Path) -> None:
    path = m4a(tmp_path / "memo.wav", TONE)
    assert read(path).size == pytest.approx(TONE.size, abs=4000)


def test_two_channels_are_averaged(tmp_path: Path) -> None:
    path = written(tmp_path / "run.wav", np.stack([TONE, 0.5 * TONE], axis=1))
    assert audio_shape(path).channels == 2
    np.testing.assert_allclose(read(path), 0.75 * TONE, atol=1e-4)


def test_channels_that_cancel_are_not_averaged(tmp_path: Path) -> None:
    path = written(tmp_path / "run.wav", np.stack([TONE, -0.9 * TONE], axis=1))
    np.testing.assert_allclose(read(path), TONE, atol=1e-4)


def test_a_recording_is_followed_from_its_file(tmp_path: Path) -> None:
    samples, rpm = engine_sound(np.random.default_rng(1), np.full(12 * RATE_HZ, 6200.0), RATE_HZ)
    track = track_audio(written(tmp_path / "run.flac", samples))
    assert np.nanmedian(track.rpm) == pytest.approx(np.median(rpm), rel=0.005)
    assert np.isfinite(track.rpm).mean() > 0.9


def test_a_long_recording_needs_no_more_room_than_a_short_one(tmp_path: Path) -> None:
    path = tmp_path / "long.flac"
    minute, _ = engine_sound(np.random.default_rng(1), np.full(60 * 16_000, 6200.0), 16_000)
    with soundfile.SoundFile(path, "w", 16_000, 1) as file:
        for _ in range(5):
            file.write(minute)
    tracemalloc.start()
    track = track_audio(path)
    peak_mb = tracemalloc.get_traced_memory()[1] / 1e6
    tracemalloc.stop()
    assert track.t_s.size == 5 * 60 * 20
    assert peak_mb < 100.0


def wav(samples: NDArray[np.float32]) -> bytes:
    buffer = io.BytesIO()
    soundfile.write(buffer, samples, RATE_HZ, format="WAV")
    return buffer.getvalue()


WAV = wav(TONE)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "The file is empty. Copy it again"),
        (b"PK\x03\x04" + 100 * b"\0", "It looks like a ZIP archive. Record it as WAV"),
        (b"AXXX001\r\nHFDTE240625\r\n", "cannot be read as a sound recording. Record it as WAV"),
        (b"\0" * 2_000_000, "cannot be read as a sound recording"),
        (WAV[:30], "its header is damaged or cut off. Copy it again"),
        (WAV[:44], "holds no sound"),
        (WAV[:24] + b"\x01\0\0\0" + WAV[28:], "sampling rate of 1 Hz; it must lie between 4,000 and 768,000"),
        (WAV[:24] + b"\xff\xff\xff\x7f" + WAV[28:], "sampling rate of 2,147,483,647 Hz"),
        (b"\0\0\0\x18ftypM4A " + 50 * b"\0", "M4A recording is damaged"),
    ],
    ids=["empty", "zip", "igc", "zeros", "header", "no samples", "1 Hz", "2 GHz", "m4a"],
)
def test_what_is_no_recording_is_refused_with_what_to_do(tmp_path: Path, data: bytes, says: str) -> None:
    path = tmp_path / "run.wav"
    path.write_bytes(data)
    with pytest.raises(FormatError, match=says):
        track_audio(path)


def test_a_recording_that_breaks_off_is_read_as_far_as_it_goes(tmp_path: Path) -> None:
    path = tmp_path / "run.wav"
    path.write_bytes(WAV[: 44 + 2 * RATE_HZ])
    np.testing.assert_allclose(read(path), TONE[:RATE_HZ], atol=1e-4)


def test_a_recording_that_breaks_off_says_so(tmp_path: Path) -> None:
    path = tmp_path / "run.wav"
    path.write_bytes(WAV[: 44 + 2 * RATE_HZ])
    assert track_audio(path).remarks[0].startswith("The file is cut off: 1.0 s of the 3.0 s")
    path.write_bytes(WAV)
    assert not any("cut off" in remark for remark in track_audio(path).remarks)


@pytest.mark.parametrize(
    ("data", "share"),
    [
        (WAV, 1.0),
        (WAV[: 44 + 2 * RATE_HZ], 1 / 3),
        (WAV[:40] + b"\xff\xff\xff\xff" + WAV[44:1000], 1.0),
        (WAV[:12] + b"LIST\x03\0\0\0abc\0" + WAV[12 : 44 + 2 * RATE_HZ], 1 / 3),
        (WAV[:30], 1.0),
        (b"fLaC" + 60 * b"\0", 1.0),
    ],
    ids=["whole", "a third", "length unknown", "another chunk before", "no data", "no WAV"],
)
def test_how_much_of_a_wav_file_is_there(tmp_path: Path, data: bytes, share: float) -> None:
    path = tmp_path / "run.wav"
    path.write_bytes(data)
    with path.open("rb") as file:
        assert held_share(file) == pytest.approx(share, abs=1e-3)


def test_a_silent_recording_is_refused(tmp_path: Path) -> None:
    path = written(tmp_path / "run.wav", np.zeros(30 * RATE_HZ, np.float32))
    with pytest.raises(FormatError, match=r"silent throughout\. Check the microphone"):
        track_audio(path)


def test_values_that_are_no_numbers_are_refused_with_their_place(tmp_path: Path) -> None:
    samples = np.tile(TONE, 2)
    samples[4 * RATE_HZ + 5] = np.nan
    path = written(tmp_path / "run.wav", samples, subtype="FLOAT")
    with pytest.raises(FormatError, match="damaged 4 s after its start"):
        track_audio(path)


def test_too_many_channels_are_refused(tmp_path: Path) -> None:
    path = written(tmp_path / "run.wav", np.zeros((100, 9), np.float32))
    with pytest.raises(FormatError, match="9 channels; at most 8"):
        audio_shape(path)


def test_a_recording_that_is_too_long_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tickover.formats.audio.sound_file.LONGEST_H", 2.0 / 3600.0)
    with pytest.raises(FormatError, match=r"longer than .* hours\. Cut out"):
        audio_shape(written(tmp_path / "run.wav", TONE))


@pytest.mark.parametrize("seed", range(20))
def test_a_damaged_recording_is_read_or_refused_and_never_breaks(tmp_path: Path, seed: int) -> None:
    rng = np.random.default_rng(seed)
    data = bytearray(WAV[: 44 + 20_000] if seed % 2 else wav(TONE[:20_000]))
    for place in rng.integers(0, 60, 4):
        data[place] = int(rng.integers(256))
    path = tmp_path / "run.wav"
    path.write_bytes(data)
    try:
        track_audio(path)
    except FormatError as error:
        assert error.message.endswith((".", "numbers."))
