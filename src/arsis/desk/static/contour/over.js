// @ts-check
// What moves over the scene without painting it anew: the playhead and the loop.
import { h } from "../vendor/preact.js";
import { useEffect, useRef } from "../vendor/preact-hooks.js";
import { effect } from "../vendor/signals.js";
import htm from "../vendor/htm.js";
import { loop, playhead, rateHz, view } from "../state.js";
import { turnPage } from "./navigate.js";
import { across, scene } from "./stage.js";
import { toX } from "./sight.js";

const html = htm.bind(h);

export function Playhead() {
  const line = useRef(/** @type {HTMLElement | null} */ (null));
  useEffect(() => {
    let before_s = 0;
    return effect(() => {
      const at_s = playhead.value / rateHz.value, { left, width } = across.value;
      const x = toX(view.value, across.value)(at_s);
      const style = line.current?.style;
      if (!style) return; // another song is on its way
      style.transform = `translateX(${x}px)`;
      style.visibility = x >= left - 1 && x <= left + width + 1 ? "visible" : "hidden";
      turnPage(before_s, at_s);
      before_s = at_s;
    });
  }, []);
  return html`<div class="playhead" ref=${line} aria-hidden="true" style=${{ height: `${scene.value.lanes.axis.top + 5}px` }} />`;
}

export function Loop() {
  if (!loop.value) return null;
  const x = toX(view.value, across.value), { left, width } = across.value;
  const from = Math.max(x(loop.value.from / rateHz.value), left), to = Math.min(x(loop.value.to / rateHz.value), left + width);
  if (to <= from) return null;
  return html`<div class="loop" style=${{ left: `${from}px`, width: `${to - from}px`, height: `${scene.value.lanes.axis.bottom}px` }}>
    <span class="words-only">this stretch is looped</span></div>`;
}
