// Runs beside the page's own work, so that no sample is lost while the page draws: hands on what the microphone gives.
const LENGTH = 4096;

class Tap extends AudioWorkletProcessor {
  constructor() {
    super();
    this.held = new Float32Array(LENGTH);
    this.filled = 0;
    this.port.onmessage = () => this.flush();
  }

  flush() {
    this.port.postMessage(this.held.slice(0, this.filled));
    this.filled = 0;
  }

  process(inputs) {
    const samples = inputs[0][0];
    if (!samples) return true;
    if (this.filled + samples.length > LENGTH) this.flush();
    this.held.set(samples, this.filled);
    this.filled += samples.length;
    return true;
  }
}

registerProcessor("tap", Tap);
