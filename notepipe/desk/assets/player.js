// Plays the seconds of a record, from the kept recording, and lights the words while it does.

export class Player {
  /** `bench` says where the sound lies; `words` are the words with their seconds. */
  constructor(bench, words, tell) {
    this.tell = tell;
    this.around = 0.3;
    this.queue = [];
    this.end = null;
    this.words = words;
    this.starts = words.map((word) => Number(word.dataset.s));
    this.lit = null;
    const { source, kind, decoded } = bench.dataset;
    this.decoded = decoded;
    this.audio = source ? new Audio() : null;
    if (!this.audio) return;
    this.audio.preload = "metadata";
    this.audio.src = kind && this.audio.canPlayType(kind) ? source : decoded;
    this.audio.addEventListener("error", () => this.fallBack());
    this.audio.addEventListener("timeupdate", () => this.watch());
    this.audio.addEventListener("ended", () => this.following());
    this.audio.preservesPitch = true;
  }

  get playing() {
    return Boolean(this.audio) && !this.audio.paused;
  }

  /** A browser may promise a form and then not play it: the decoded one it can. */
  fallBack() {
    if (this.audio.src.endsWith(this.decoded)) {
      this.stop();
      this.tell("The sound of this note can't be played here; read the words.");
      return;
    }
    const again = this.now ? [this.now, ...this.queue] : [];
    this.audio.src = this.decoded;
    if (again.length) this.play(again);
  }

  /** Plays the stretches one after the other; each is [start, end] in seconds. */
  play(stretches) {
    if (!this.audio || !stretches.length) {
      this.tell("This record came as text: there is nothing to play.");
      return;
    }
    this.queue = [...stretches];
    this.following();
  }

  following() {
    this.now = this.queue.shift() ?? null;
    if (!this.now) {
      this.stop();
      return;
    }
    const [start, end] = this.now;
    this.end = end + this.around;
    this.audio.currentTime = Math.max(0, start - this.around);
    const run = this.now;
    this.audio.play().then(
      () => this.frame(),
      (error) => {
        if (error.name === "NotAllowedError" && run === this.now) this.tell("The browser wants a key or a click first: play it again.");
      },
    );
  }

  frame() {
    if (!this.playing) return;
    this.watch();
    requestAnimationFrame(() => this.frame());
  }

  watch() {
    if (!this.playing || this.audio.seeking) return;
    const at = this.audio.currentTime;
    this.light(at);
    if (this.end !== null && at >= this.end) this.following();
  }

  stop() {
    this.queue = [];
    this.now = null;
    this.end = null;
    this.audio?.pause();
    this.lit?.classList.remove("lit");
    this.lit = null;
    document.getElementById("time")?.replaceChildren();
  }

  set speed(rate) {
    if (!this.audio) return;
    this.audio.defaultPlaybackRate = rate;
    this.audio.playbackRate = rate;
  }

  light(at) {
    const clock = document.getElementById("time");
    if (clock) clock.textContent = `${Math.floor(at / 60)}:${(at % 60).toFixed(1).padStart(4, "0")}`;
    let low = 0;
    let high = this.starts.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.starts[middle] <= at) low = middle + 1;
      else high = middle;
    }
    const word = this.words[low - 1];
    const now = word && at <= Number(word.dataset.e) + 0.15 ? word : null;
    if (now === this.lit) return;
    this.lit?.classList.remove("lit");
    this.lit = now;
    if (now) {
      now.classList.add("lit");
      within(document.getElementById("transcript"), now);
    }
  }
}

/** Brings `inner` into sight inside the box that scrolls, and leaves the page where it is. */
export function within(box, inner) {
  const outside = box.getBoundingClientRect();
  const mine = inner.getBoundingClientRect();
  if (mine.top < outside.top || mine.bottom > outside.bottom) box.scrollTop += mine.top - outside.top - outside.height / 3;
}

/** The stretches written in an element: "1.2-3.4 5-6". */
export function stretches(element) {
  return (element?.dataset.play ?? "").split(" ").filter(Boolean).map((pair) => pair.split("-").map(Number));
}
