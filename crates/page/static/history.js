// The texts of the case that were, for undo and redo. Keystrokes in one place that follow each other count as one change.

const ONE_CHANGE_MS = 1000, MOST_TEXTS = 500;

function openHistory(text) {
  const texts = [text];
  let at = 0, last = { from: "", time: 0 };
  return {
    get text() { return texts[at]; },
    get canUndo() { return at > 0; },
    get canRedo() { return at + 1 < texts.length; },
    put(changed, from) {
      const now = performance.now();
      const goesOn = from === last.from && now - last.time < ONE_CHANGE_MS && at > 0;
      last = { from, time: now };
      if (changed === texts[at]) return;
      texts.length = at + 1;
      if (goesOn) texts[at] = changed;
      else texts.push(changed);
      if (texts.length > MOST_TEXTS) texts.shift();
      at = texts.length - 1;
    },
    move(step) {
      at = Math.min(Math.max(at + step, 0), texts.length - 1);
      last = { from: "", time: 0 };
    },
  };
}
