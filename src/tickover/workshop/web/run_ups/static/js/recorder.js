// Records a run-up with this device's microphone, and puts it into the form as a WAV file.
// Nothing is sent before the form is: until then the recording can be heard again and saved.
const recorder = document.querySelector("#recorder");
const LONGEST_S = 20 * 60;
const TOO_LOUD = 0.97;
const HARDLY_DB = -45;
const REFUSED = {
  NotAllowedError: "The microphone was not allowed. Allow it for this page in the browser’s settings, then start again.",
  NotFoundError: "This device has no microphone. Record with a phone and add the file below.",
  NotReadableError: "Another program holds the microphone. Close it, then start again.",
};
const AS_IT_SOUNDS = { echoCancellation: false, noiseSuppression: false, autoGainControl: false, channelCount: 1 };

const part = (name) => recorder.querySelector(`[data-${name}]`);
const say = (words) => (part("said").textContent = words);
const clock = (s) => `${Math.floor(s / 60)}:${String(Math.floor(s % 60)).padStart(2, "0")}`;
const decibels = (peak) => 20 * Math.log10(Math.max(peak, 1e-6));

function whyNot() {
  if (!window.isSecureContext) return part("insecure");
  return navigator.mediaDevices?.getUserMedia && window.AudioContext ? null : part("unable");
}

// 16-bit PCM, one channel, as the RIFF WAVE format has it: a head of 44 bytes, then the samples.
function wav(pieces, rate) {
  const size = pieces.reduce((sum, piece) => sum + piece.byteLength, 0);
  const head = new DataView(new ArrayBuffer(44));
  const text = (at, words) => [...words].forEach((c, n) => head.setUint8(at + n, c.charCodeAt(0)));
  const numbers = [[4, 36 + size, 4], [16, 16, 4], [20, 1, 2], [22, 1, 2], [24, rate, 4], [28, 2 * rate, 4],
    [32, 2, 2], [34, 16, 2], [40, size, 4]];
  [[0, "RIFF"], [8, "WAVE"], [12, "fmt "], [36, "data"]].forEach(([at, words]) => text(at, words));
  for (const [at, value, bytes] of numbers) head[bytes === 4 ? "setUint32" : "setUint16"](at, value, true);
  return new Blob([head, ...pieces], { type: "audio/wav" });
}

function sixteenBit(samples) {
  const out = new DataView(new ArrayBuffer(2 * samples.length));
  samples.forEach((v, n) => out.setInt16(2 * n, Math.round(Math.min(Math.max(v, -1), 1) * 32767), true));
  return out.buffer;
}

class Recording {
  constructor(stream, context) {
    Object.assign(this, { stream, context, pieces: [], length: 0, clipped: 0, peak: 0 });
  }

  get seconds() {
    return this.length / this.context.sampleRate;
  }

  take(samples) {
    if (!samples.length) return;
    const peak = samples.reduce((most, v) => Math.max(most, Math.abs(v)), 0);
    this.peak = Math.max(peak, 0.9 * this.peak);
    this.clipped += peak >= TOO_LOUD;
    this.length += samples.length;
    this.pieces.push(sixteenBit(samples));
  }

  async begin() {
    const source = this.context.createMediaStreamSource(this.stream);
    if (this.context.audioWorklet) {
      await this.context.audioWorklet.addModule(recorder.dataset.worklet);
      this.tap = new AudioWorkletNode(this.context, "tap", { channelCount: 1, channelCountMode: "explicit" });
      this.tap.port.onmessage = (event) => this.take(event.data);
    } else {
      this.tap = this.context.createScriptProcessor(4096, 1, 1);
      this.tap.onaudioprocess = (event) => this.take(event.inputBuffer.getChannelData(0));
    }
    source.connect(this.tap).connect(this.context.destination);
  }

  async end() {
    this.tap.port?.postMessage("flush");
    await new Promise((done) => setTimeout(done, 150));
    this.stream.getTracks().forEach((track) => track.stop());
    await this.context.close();
    return wav(this.pieces, this.context.sampleRate);
  }
}

let running = null;
let timer = 0;
let screenAwake = null;

function level() {
  const db = decibels(running.peak);
  part("meter").value = Math.max(db, -60);
  part("time").textContent = clock(running.seconds);
  const words = running.peak >= TOO_LOUD ? "Too loud: go further away" : db < HARDLY_DB ? "Hardly anything is heard" : "Good";
  if (part("level").textContent !== words) part("level").textContent = words;
  part("level").classList.toggle("signal", words !== "Good");
  if (running.seconds >= LONGEST_S) stop(`Stopped after ${LONGEST_S / 60} minutes: a run-up is shorter.`);
}

function show(state) {
  recorder.dataset.state = state;
  part("start").hidden = state === "recording";
  part("start").textContent = state === "done" ? "Record again" : "Start recording";
  part("stop").hidden = part("now").hidden = state !== "recording";
  part("again").hidden = state !== "done";
}

async function start() {
  if (recorder.dataset.state === "done" && !confirm("Record again? The recording that is here is dropped.")) return;
  say("Waiting for the microphone …");
  part("start").disabled = true; // asked twice, it would listen twice
  let stream = null;
  let context = null;
  try {
    stream = await navigator.mediaDevices.getUserMedia({ audio: AS_IT_SOUNDS });
    context = new AudioContext();
    running = new Recording(stream, context);
    await context.resume();
    await running.begin();
    stream.getAudioTracks()[0].addEventListener("ended", () => running && stop("The microphone went away."));
  } catch (error) {
    stream?.getTracks().forEach((track) => track.stop());
    context?.close();
    running = null;
    return say(REFUSED[error.name] ?? `The microphone gave nothing (${error.name}). Record with a telephone instead.`);
  } finally {
    part("start").disabled = false;
  }
  screenAwake = await navigator.wakeLock?.request("screen").catch(() => null);
  show("recording");
  say("Recording. Start the engine when the machine is tied down and everybody is clear.");
  timer = setInterval(level, 200);
  part("stop").focus();
}

function keep(blob) {
  const name = `run-up-${new Date().toISOString().slice(0, 16).replace(/[T:]/g, "-")}.wav`;
  const file = new File([blob], name, { type: "audio/wav" });
  const held = new DataTransfer();
  held.items.add(file);
  document.querySelector("#id_run_file").files = held.files;
  for (const place of [part("listen"), part("save")]) {
    const before = place.getAttribute(place.dataset.goes);
    if (before) URL.revokeObjectURL(before);
    place.setAttribute(place.dataset.goes, URL.createObjectURL(file));
  }
  part("save").download = name;
}

async function stop(why = "") {
  if (!running) return;
  clearInterval(timer);
  const done = running;
  running = null;
  const blob = await done.end();
  screenAwake?.release();
  keep(blob);
  show("done");
  const loud = done.clipped > 2 ? " It was too loud at times: the speed is mostly heard all the same; stand further away next time." : "";
  say(`${why} ${clock(done.seconds)} recorded and put into the form below. Nothing is sent yet.${loud}`.trim());
  part("start").focus();
}

if (recorder) {
  const refused = whyNot();
  part("no-script").hidden = true;
  if (refused) refused.hidden = false;
  else {
    part("ready").hidden = false;
    show("idle");
    part("start").addEventListener("click", start);
    part("stop").addEventListener("click", () => stop());
  }
  addEventListener("beforeunload", (event) => {
    if (running || (recorder.isConnected && recorder.dataset.state === "done" && !recorder.dataset.sent)) event.preventDefault();
  });
}
