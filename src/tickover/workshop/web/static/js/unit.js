// The unit goes with the gauge: naming another gauge sets its own unit. A changed unit is said in words.
(() => {
  const words = document.getElementById("in-words");
  const unit = document.getElementById("unit");
  if (!words || !unit) return;
  const form = unit.form;
  const gauge = form.elements.instrument;
  const fields = [...form.querySelectorAll(".typed input[data-in-unit]")];
  const wanted = words.dataset.unit;
  const printed = (name) => name.replace("N.m", "N·m").replace("deg ", "°");
  const own = () => gauge?.selectedOptions[0]?.dataset.unit || wanted;

  const said = () => {
    if (unit.value === own()) return "";
    const text = fields[0].value.trim();
    const plain = /^[-+]?[0-9]*[.,]?[0-9]+$/.test(text) && !/^[-+]?[1-9][0-9]{0,2},[0-9]{3}$/.test(text);
    if (fields.length > 1 || !plain || unit.value === wanted) return `Typed in ${unit.value}, not ${own()}.`;
    const { slope, offset } = unit.selectedOptions[0].dataset;
    const value = parseFloat(text.replace(",", ".")) * slope + Number(offset);
    const figures = Math.min(Math.max(2, text.replace(/[^0-9]/g, "").replace(/^0+/, "").length + 1), 6);
    return `${text} ${unit.value} = ${Number(value.toPrecision(figures))} ${wanted}.`;
  };
  const say = () => {
    const strong = document.createElement("strong");
    strong.textContent = printed(said());
    words.replaceChildren(strong);
  };

  gauge?.addEventListener("change", () => {
    if ([...unit.options].some((option) => option.value === own())) unit.value = own();
    form.elements.unit_for.value = gauge.value;
    say();
  });
  unit.addEventListener("change", say);
  fields.forEach((field) => field.addEventListener("input", say));
})();
