// A track log dropped anywhere on an engine's page is put into its form, and the form is sent.
const form = document.querySelector("form[data-drop]");
const field = form?.querySelector("input[type=file]");
const hasFile = (event) => event.dataTransfer?.types.includes("Files");

function say(words) {
  form.querySelector("[role=status]").textContent = words;
}

function send() {
  say(`Reading ${field.files[0].name} …`);
  form.requestSubmit();
}

if (field) {
  form.classList.add("takes-drops");
  field.addEventListener("change", () => field.files.length && send());
  document.addEventListener("dragover", (event) => {
    if (!hasFile(event)) return;
    event.preventDefault();
    form.classList.add("over");
  });
  document.addEventListener("dragleave", (event) => {
    if (!event.relatedTarget) form.classList.remove("over");
  });
  document.addEventListener("drop", (event) => {
    if (!hasFile(event)) return;
    event.preventDefault();
    form.classList.remove("over");
    if (event.dataTransfer.files.length !== 1) return say("Drop one track log at a time. Nothing was added.");
    field.files = event.dataTransfer.files;
    send();
  });
}
