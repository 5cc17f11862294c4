// Sends a form with a large file and shows how far it is; where it is refused or breaks off, the file stays chosen.
const STEP = 10;

const megabytes = (bytes) => `${(bytes / 1e6).toFixed(bytes < 1e7 ? 1 : 0)} MB`;

function bind(form) {
  const field = form.querySelector("input[type=file]");
  const box = form.querySelector("[data-sending]");
  const bar = box.querySelector("progress");
  const said = box.querySelector("[role=status]");
  const stop = box.querySelector("button");
  let request = null;

  function say(words, busy) {
    box.hidden = false;
    bar.hidden = stop.hidden = !busy;
    if (said.textContent !== words) said.textContent = words;
    form.querySelectorAll("button").forEach((button) => button !== stop && (button.disabled = busy));
  }

  function far({ loaded, total }) {
    const percent = Math.round((100 * loaded) / total);
    if (loaded >= total) {
      bar.removeAttribute("value");
      return say("Received. It is being read; a long recording takes a minute …", true);
    }
    bar.value = percent;
    say(`Sending ${megabytes(total)}: ${percent - (percent % STEP)} %`, true);
  }

  async function outdated() {
    const answer = await fetch(location.href);
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const token = page.querySelector(".fields [name=csrfmiddlewaretoken]")?.value;
    if (token) form.querySelector("[name=csrfmiddlewaretoken]").value = token;
    say(token ? "The page was out of date. Nothing is lost: send it again." : SIGNED_OUT, false);
  }

  function answered() {
    const at = new URL(request.responseURL);
    if (at.pathname.startsWith("/sign-in/")) return say(SIGNED_OUT, false);
    if (request.status === 403) return outdated();
    if (request.status >= 500) return say("The workshop could not take it. Nothing is lost: send it again.", false);
    if (request.status === 201) {
      const recorder = document.querySelector("#recorder");
      if (recorder) recorder.dataset.sent = "yes";
      return location.assign(request.getResponseHeader("Location"));
    }
    show(new DOMParser().parseFromString(request.responseText, "text/html"), field);
  }

  form.addEventListener("submit", (event) => {
    if (!field.files.length) return;
    event.preventDefault();
    request = new XMLHttpRequest();
    request.open("POST", form.getAttribute("action") ?? location.href);
    request.upload.addEventListener("progress", far);
    request.addEventListener("load", answered);
    request.addEventListener("error", () => say("It broke off on the way. Nothing is lost: send it again.", false));
    request.addEventListener("abort", () => say("Stopped. Nothing was saved; the file is still chosen.", false));
    request.setRequestHeader("X-Sent-By", "script");
    const data = new FormData(form);
    const { submitter } = event;
    if (submitter?.name) data.append(submitter.name, submitter.value);
    request.send(data);
    say("Sending …", true);
  });
  stop.addEventListener("click", () => request?.abort());
}

const SIGNED_OUT = "You are signed out. Sign in again in another window; nothing is lost, then send it again.";

// The answer takes the place of the page; a form that comes back keeps the file that was chosen.
function show(page, field) {
  const form = page.querySelector("form[data-sends]");
  if (!form) {
    document.querySelector("#main").replaceWith(document.importNode(page.querySelector("#main"), true));
  } else {
    const fresh = document.importNode(form, true);
    document.querySelector("form[data-sends]").replaceWith(fresh);
    fresh.querySelector("input[type=file]").replaceWith(field);
    bind(fresh);
  }
  document.title = page.title;
  const first = document.querySelector("#main .refused, #main h1");
  first.tabIndex = -1;
  first.focus();
  first.scrollIntoView({ block: "center" });
}

document.querySelectorAll("form[data-sends]").forEach(bind);
