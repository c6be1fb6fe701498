// A button that is replaced between press and release is never clicked: what comes in meanwhile waits.
const MOST = 60000; // ms after which a press whose end nobody saw counts as over
const CLICK = 50; // ms from the release to its click
let timer = 0;
let down = false;
const waiting = [];

function press(most, is) {
  down = is;
  clearTimeout(timer);
  timer = setTimeout(() => {
    timer = 0;
    for (const done of waiting.splice(0)) done();
  }, most);
}

function released(event) { if (down && !event.buttons) press(CLICK, false); }

addEventListener("pointerdown", (event) => { if (event.button === 0) press(MOST, true); }, true);
for (const kind of ["pointerup", "pointercancel", "pointermove"]) addEventListener(kind, released, true);

// The end of the press that is going on, if one is.
export const release = () => (timer ? new Promise((done) => waiting.push(done)) : null);
