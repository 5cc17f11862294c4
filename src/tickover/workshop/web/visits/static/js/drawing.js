// Escape goes back to the step, as the link does.
document.addEventListener("keydown", (event) => {
  if (event.key === "Escape") document.querySelector("a[rel=up]").click();
});
