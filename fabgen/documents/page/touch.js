// Fingers and mouse on the view: turn, move, come nearer, tap.
const TWICE = 350; // ms between two taps that are meant as one gesture

// `onTap`: gets a place of the canvas in CSS pixels and whether it is the second tap there.
function listen(view, onTap) {
  const canvas = view.canvas, down = new Map();
  let moved = 0, last = { at: [0, 0], time: -Infinity };
  const place = (event) => { const box = canvas.getBoundingClientRect(); return [event.clientX - box.left, event.clientY - box.top]; };
  const share = (pixels) => pixels / Math.min(view.width, view.height);
  canvas.addEventListener("contextmenu", (event) => event.preventDefault());
  canvas.addEventListener("pointerdown", (event) => {
    canvas.setPointerCapture(event.pointerId);
    view.stop();
    if (!down.size) moved = 0;
    down.set(event.pointerId, place(event));
  });
  canvas.addEventListener("pointermove", (event) => {
    const before = down.get(event.pointerId), now = place(event);
    view.pointer = now;
    if (!before) return;
    const dx = now[0] - before[0], dy = now[1] - before[1];
    moved += Math.hypot(dx, dy);
    if (down.size === 1) {
      if (event.shiftKey || event.buttons > 1) view.camera.shift(share(dx), -share(dy));
      else if (moved > 5) view.camera.swing(dx * 0.009, dy * 0.009);
    } else {
      const other = [...down].find(([id]) => id !== event.pointerId)[1];
      const wide = Math.hypot(now[0] - other[0], now[1] - other[1]), was = Math.hypot(before[0] - other[0], before[1] - other[1]);
      const x = (now[0] + other[0]) / 2 - view.width / 2, y = view.height / 2 - (now[1] + other[1]) / 2;
      view.camera.shift(share(dx) / 2, -share(dy) / 2);
      if (was > 0) view.camera.zoom(wide / was, share(x), share(y));
    }
    down.set(event.pointerId, now);
    view.schedule();
  });
  canvas.addEventListener("pointerleave", () => { view.pointer = null; });
  const up = (event) => {
    const tapped = down.size === 1 && moved <= 6 && event.type === "pointerup";
    down.delete(event.pointerId);
    if (!tapped) return;
    const at = place(event), twice = event.timeStamp - last.time < TWICE && Math.hypot(at[0] - last.at[0], at[1] - last.at[1]) < 24;
    last = { at, time: twice ? -Infinity : event.timeStamp };
    onTap(at, twice);
  };
  canvas.addEventListener("pointerup", up);
  canvas.addEventListener("pointercancel", up);
  canvas.addEventListener("wheel", (event) => {
    event.preventDefault();
    view.nearer(Math.exp(-event.deltaY * (event.deltaMode ? 0.05 : 0.0015)), place(event));
  }, { passive: false });
}
