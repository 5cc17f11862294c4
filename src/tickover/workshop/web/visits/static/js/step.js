// Arrow keys and page-turn pedals go from step to step; the browser reads the step aloud where it can.
(() => {
  const keys = { ArrowRight: "next", PageDown: "next", ArrowLeft: "prev", PageUp: "prev" };
  document.addEventListener("keydown", (event) => {
    const rel = keys[event.key];
    if (!rel || event.ctrlKey || event.metaKey || event.altKey || event.shiftKey) return;
    if (event.target.closest("input, textarea, select, summary, [contenteditable]")) return;
    const link = document.querySelector(`nav.turn a[rel=${rel}]`);
    if (!link) return;
    event.preventDefault();
    link.click();
  });
  const button = document.querySelector("[data-read-aloud]");
  if (!button || !window.speechSynthesis) return;
  button.hidden = false;
  button.addEventListener("click", () => {
    const speech = window.speechSynthesis;
    if (speech.speaking) {
      speech.cancel();
      return;
    }
    const parts = ["section.caution p", "h2.act", ".how", ".limit"];
    const words = parts.map((part) => document.querySelector(part)?.textContent.trim()).filter(Boolean);
    const said = new SpeechSynthesisUtterance(words.join(". "));
    said.lang = document.documentElement.lang;
    speech.speak(said);
  });
})();
