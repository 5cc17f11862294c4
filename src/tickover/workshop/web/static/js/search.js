// "/" goes to the search field, unless one is typing already.
document.addEventListener("keydown", (event) => {
  const typing = event.target.closest("input, textarea, select, [contenteditable]");
  if (event.key !== "/" || event.ctrlKey || event.metaKey || event.altKey || typing) return;
  const field = [...document.querySelectorAll("input[type=search]")].find((one) => one.offsetParent);
  if (!field) return;
  event.preventDefault();
  field.select();
});
