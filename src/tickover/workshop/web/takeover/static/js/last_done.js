// Enter goes to the next row, arrows up and down the column, pasted cells fill the table from the focused one, and what is known is counted.
(() => {
  const form = document.querySelector("[data-last-done]");
  if (!form) return;
  const rows = [...form.querySelectorAll("tr.task")]
    .map((row) => [...row.querySelectorAll("td.at input, td.on input")])
    .filter((cells) => cells.length === 2);
  const place = (input) => {
    const row = rows.findIndex((cells) => cells.includes(input));
    return row < 0 ? null : [row, rows[row].indexOf(input)];
  };
  const count = () => {
    const fixed = form.querySelectorAll("td.whole:not(:has(.refused))").length;
    let known = 0;
    for (const cells of rows) {
      const empty = cells.every((cell) => !cell.value.trim());
      const state = cells[0].closest("tr").querySelector(".is-known");
      state.textContent = empty ? state.dataset.empty : "";
      known += empty && state.dataset.empty === "not known" ? 0 : 1;
    }
    document.getElementById("known").textContent = known + fixed;
  };

  form.addEventListener("keydown", (event) => {
    const at = place(event.target);
    if (!at || !["Enter", "ArrowDown", "ArrowUp"].includes(event.key)) return;
    event.preventDefault();
    const next = rows[at[0] + (event.key === "ArrowUp" ? -1 : 1)];
    if (next) next[event.key === "Enter" ? 0 : at[1]].focus();
    else if (event.key === "Enter") form.querySelector(".save-bar button").focus();
  });

  form.addEventListener("paste", (event) => {
    const at = place(event.target);
    const text = event.clipboardData?.getData("text") ?? "";
    const lines = text.replace(/\r/g, "").replace(/\n$/, "").split("\n").map((line) => line.split("\t"));
    if (!at || (lines.length === 1 && lines[0].length === 1)) return;
    event.preventDefault();
    const pasted = form.querySelector("[name=pasted]");
    // Names of tasks say themselves which row they are for: the program sorts those in.
    if (pasted && lines.some((cells) => /[a-z]{4}/i.test(cells[0]))) {
      pasted.value = text;
      pasted.closest("details").open = true;
      form.querySelector("[name=do][value=read]").click();
      return;
    }
    lines.forEach((cells, down) => {
      cells.forEach((cell, right) => {
        const target = rows[at[0] + down]?.[at[1] + right];
        if (target) target.value = cell.trim();
      });
    });
    count();
  });

  form.addEventListener("input", count);
})();
