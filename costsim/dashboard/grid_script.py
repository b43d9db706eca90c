"""Markup, style and script of the grid: static, in the package, without a network."""

from __future__ import annotations

HTML = """
<div class="grid" role="grid" aria-label="Hours of the week. Arrow keys move, space paints."></div>
<div class="months" role="group" aria-label="Months"></div>
<p class="hint">Click or drag over the hours. A day's or a month's name switches it on and off.</p>
"""

CSS = """
.grid { display: grid; grid-template-columns: 2.6rem repeat(24, minmax(11px, 1fr)); gap: 1px; user-select: none; touch-action: none; }
.cell { height: 1.15rem; border: 1px solid #8886; background: transparent; padding: 0; margin: 0; border-radius: 2px; cursor: pointer; }
.cell.on { background: var(--st-primary-color, #00537f); }
.cell.off { opacity: 0.25; cursor: default; }
.cell:focus-visible, .name:focus-visible { outline: 3px solid #E69F00; outline-offset: 1px; }
.hour { font-size: 0.62rem; text-align: left; color: var(--st-text-color, inherit); overflow: visible; white-space: nowrap; }
.name { font: inherit; font-size: 0.8rem; color: var(--st-text-color, inherit); background: transparent; border: 1px solid #8886;
  border-radius: 4px; cursor: pointer; padding: 0 0.25rem; }
.name[aria-pressed=true] { background: var(--st-primary-color, #00537f); color: var(--st-background-color, #fff); }
.months { display: flex; flex-wrap: wrap; gap: 3px; margin-top: 0.5rem; }
.hint { font-size: 0.8rem; margin: 0.4rem 0 0; color: var(--st-text-color, inherit); }
"""

SCRIPT = """
const DAYS = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
export default function (component) {
  const { parentElement, data, setTriggerValue } = component;
  const hours = [...data.hours], days = [...data.days], months = [...data.months];
  const grid = parentElement.querySelector(".grid"), row = parentElement.querySelector(".months");
  let brush = null;
  const send = () => setTriggerValue("painted", { hours, days, months });
  const toggle = (name, label, list, at) => {
    const one = document.createElement("button");
    one.type = "button"; one.className = "name"; one.textContent = name;
    one.setAttribute("aria-pressed", list[at]); one.setAttribute("aria-label", label);
    one.onclick = () => {
      if (list[at] && list.filter(Boolean).length === 1) return;  // none at all would mean never
      list[at] = !list[at]; draw(); send();
    };
    return one;
  };
  const paint = hour => { if (hours[hour] !== brush) { hours[hour] = brush; mark(); } };
  const mark = () => grid.querySelectorAll(".cell").forEach(one => {
    const on = hours[one.dataset.hour] && days[one.dataset.day];
    one.classList.toggle("on", on); one.setAttribute("aria-selected", on);
  });
  const draw = () => {
    grid.replaceChildren(document.createElement("span"));
    for (let hour = 0; hour < 24; hour++) {
      const head = document.createElement("span");
      head.className = "hour"; head.textContent = hour % 6 ? "" : `${hour}:00`; grid.append(head);
    }
    DAYS.forEach((day, at) => {
      grid.append(toggle(day, `${day}: ${days[at] ? "in" : "not in"}`, days, at));
      for (let hour = 0; hour < 24; hour++) {
        const cell = document.createElement("button");
        cell.type = "button"; cell.className = `cell${days[at] ? "" : " off"}`; cell.role = "gridcell";
        cell.dataset.hour = hour; cell.dataset.day = at; cell.tabIndex = at === 0 && hour === 0 ? 0 : -1;
        cell.setAttribute("aria-label", `${day} ${hour}:00 to ${hour + 1}:00`);
        cell.onpointerdown = event => { if (days[at]) { event.preventDefault(); cell.focus(); brush = !hours[hour]; paint(hour); } };
        cell.onpointerenter = () => { if (brush !== null && days[at]) paint(hour); };
        cell.onkeydown = event => {
          const step = { ArrowRight: [0, 1], ArrowLeft: [0, -1], ArrowDown: [1, 0], ArrowUp: [-1, 0] }[event.key];
          if (step) {
            event.preventDefault();
            const next = grid.querySelector(`[data-day="${at + step[0]}"][data-hour="${hour + step[1]}"]`);
            if (next) next.focus();
          } else if (event.key === " " || event.key === "Enter") {
            event.preventDefault(); if (days[at]) { brush = !hours[hour]; paint(hour); brush = null; send(); }
          }
        };
        grid.append(cell);
      }
    });
    row.replaceChildren(...MONTHS.map((month, at) => toggle(month, `${month}: ${months[at] ? "in" : "not in"}`, months, at)));
    mark();
  };
  const up = () => { if (brush !== null) { brush = null; send(); } };
  window.addEventListener("pointerup", up);
  draw();
  return () => window.removeEventListener("pointerup", up);
}
"""
