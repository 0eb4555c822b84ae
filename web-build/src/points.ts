// Plans are picked by their marks in the chart of money against hours: a tap near a mark, or the arrow keys from one to
// the next. The table below it holds the same choice and works without script.
const REACH = 36;

export function points(): void {
  const form = document.querySelector<HTMLFormElement>("form[data-points]");
  const chart = form?.querySelector<SVGSVGElement>(".chart svg");
  if (!form || !chart) return;
  const all = [...chart.querySelectorAll<SVGGElement>("[data-layer=plan][data-name^=plan-]")];
  const marks = [...new Map(all.map((mark) => [mark.dataset.name, mark])).values()]; // the upper one of two on one spot
  marks.sort((a, b) => middle(a).x - middle(b).x);
  chart.setAttribute("role", "radiogroup");
  chart.setAttribute("aria-label", form.dataset.label ?? "");
  chart.querySelectorAll(":scope > title, :scope > desc").forEach((e) => e.remove());
  const radio = (mark: SVGGElement): HTMLInputElement | null =>
    form.querySelector(`input[name=point][value="${mark.dataset.name?.slice(5)}"]`);
  const note = form.querySelector<HTMLElement>(".picked");
  const words = form.querySelector<HTMLElement>("[data-picked]");

  const show = (told: boolean): void => {
    for (const mark of marks) {
      const on = radio(mark)?.checked ?? false;
      mark.setAttribute("aria-checked", String(on));
      mark.setAttribute("tabindex", on ? "0" : "-1");
    }
    if (!marks.some((m) => m.getAttribute("tabindex") === "0")) marks[0]?.setAttribute("tabindex", "0");
    const chosen = form.querySelector<HTMLInputElement>("input[name=point]:checked");
    if (!told || !note || !words || !chosen) return;
    note.hidden = false;
    words.textContent = chosen.dataset.says ?? "";
  };
  const pick = (mark: SVGGElement | undefined): void => {
    const box = mark && radio(mark);
    if (!mark || !box) return;
    box.checked = true;
    show(true);
    mark.focus();
  };

  for (const mark of marks) {
    mark.setAttribute("role", "radio");
    mark.setAttribute("aria-label", radio(mark)?.dataset.says ?? "");
  }
  chart.addEventListener("click", (event) => {
    const far = (m: SVGGElement): number => Math.hypot(middle(m).x - event.clientX, middle(m).y - event.clientY);
    const nearest = [...marks].sort((a, b) => far(a) - far(b))[0];
    const on = (event.target as Element).closest<SVGGElement>("[data-layer=plan]");
    if (on) pick(marks.find((m) => m.dataset.name === on.dataset.name));
    else if (nearest && far(nearest) <= REACH) pick(nearest);
  });
  chart.addEventListener("keydown", (event) => {
    const at = marks.indexOf(document.activeElement as unknown as SVGGElement);
    const way = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
    if (at < 0 || (way === undefined && event.key !== " " && event.key !== "Enter")) return;
    event.preventDefault();
    pick(marks[(at + (way ?? 0) + marks.length) % marks.length]);
  });
  form.addEventListener("change", () => show(true));
  show(false);
}

function middle(mark: SVGGElement): { x: number; y: number } {
  const dot = mark.querySelector("circle, path") ?? mark;
  const box = dot.getBoundingClientRect();
  return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
}
