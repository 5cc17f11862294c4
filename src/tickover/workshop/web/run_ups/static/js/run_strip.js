// Drawing over a part of the run-up strip shows that part: the server draws it, the address tells it.
// Where the run has a recording, a click goes to that place of it, and a line follows what is heard.
const figure = document.querySelector(".strip[data-src]");
const audio = document.querySelector("audio[data-of-strip]");
const LEFT = 62 / 960;
const RIGHT = 948 / 960;
const SVG = "http://www.w3.org/2000/svg";

function shown() {
  return [Number(figure.dataset.from), Number(figure.dataset.to)];
}

function share(event, picture) {
  const box = picture.getBoundingClientRect();
  const across = (event.clientX - box.left) / box.width;
  return Math.min(Math.max((across - LEFT) / (RIGHT - LEFT), 0), 1);
}

async function show(from, to, keep) {
  const asked = `from=${from.toFixed(2)}&to=${to.toFixed(2)}`;
  const answer = await fetch(`${figure.dataset.src}?${asked}`);
  if (!answer.ok) return location.assign(`?${asked}`);
  const parsed = new DOMParser().parseFromString(await answer.text(), "image/svg+xml").documentElement;
  figure.querySelector(".picture").replaceWith(document.importNode(parsed, true));
  figure.dataset.from = from;
  figure.dataset.to = to;
  if (keep) history.pushState({}, "", `?${asked}`);
}

function mark(picture, a, b) {
  let chosen = picture.querySelector(".chosen");
  if (!chosen) {
    chosen = document.createElementNS(SVG, "rect");
    chosen.setAttribute("class", "chosen");
    chosen.setAttribute("y", 0);
    chosen.setAttribute("height", picture.viewBox.baseVal.height);
    picture.append(chosen);
  }
  const x = (s) => 62 + s * (948 - 62);
  chosen.setAttribute("x", x(Math.min(a, b)));
  chosen.setAttribute("width", x(Math.max(a, b)) - x(Math.min(a, b)));
}

function listen(at) {
  audio.currentTime = at;
  audio.play();
}

function follow() {
  const picture = figure.querySelector(".picture");
  let line = picture.querySelector(".heard");
  if (!line) {
    line = document.createElementNS(SVG, "line");
    line.setAttribute("class", "heard");
    line.setAttribute("y1", 0);
    line.setAttribute("y2", picture.viewBox.baseVal.height);
    picture.append(line);
  }
  const [from, to] = shown();
  const share = (audio.currentTime - from) / (to - from);
  const x = 62 + share * (948 - 62);
  line.setAttribute("x1", x);
  line.setAttribute("x2", x);
  line.setAttribute("visibility", share >= 0 && share <= 1 ? "visible" : "hidden");
}

function drawOver(scroll) {
  let begun = null;
  scroll.classList.add("drawing");
  scroll.addEventListener("pointerdown", (event) => {
    if (event.pointerType === "mouse" && event.button === 0) {
      begun = share(event, scroll.querySelector(".picture"));
      event.preventDefault();
    }
  });
  addEventListener("pointermove", (event) => {
    const picture = scroll.querySelector(".picture");
    if (begun !== null) mark(picture, begun, share(event, picture));
  });
  addEventListener("pointerup", (event) => {
    if (begun === null) return;
    const ends = [begun, share(event, scroll.querySelector(".picture"))].sort((a, b) => a - b);
    begun = null;
    const [from, to] = shown();
    const at = (s) => from + s * (to - from);
    if (at(ends[1]) - at(ends[0]) >= 0.5) return show(at(ends[0]), at(ends[1]), true);
    scroll.querySelector(".chosen")?.remove();
    if (audio) listen(at(ends[0]));
  });
}

if (figure) {
  document.documentElement.classList.add("scripted");
  drawOver(figure.querySelector(".scroll"));
  audio?.addEventListener("timeupdate", follow);
  addEventListener("popstate", () => location.reload());
}
