// Works the minutes out anew as one ticks. Without it, the button "Work out minutes" does.
(() => {
  const form = document.querySelector("form.scope");
  const shown = document.getElementById("estimate");
  if (!form || !shown || !window.fetch) return;
  form.classList.add("counts");
  let asked = 0;
  form.addEventListener("change", async (event) => {
    if (event.target.name !== "task") return;
    const mine = ++asked;
    const chosen = new URLSearchParams(
      [...new FormData(form)].filter(([name, value]) => name === "task" && value),
    );
    try {
      const answer = await fetch(`${form.dataset.estimate}?${chosen}`);
      if (answer.ok && mine === asked) shown.innerHTML = await answer.text();
    } catch {
      form.classList.remove("counts");
    }
  });
})();
