/** Pixels per millimetre at which nothing is gained by going closer. */
const CLOSEST = 8;

/** A box on the drawing, mm. */
export interface Box {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** What to bring into view: a box, and the scales (px per mm) that are enough and that are comfortable for it. */
export interface Wanted {
  readonly box: Box;
  readonly enough: number;
  readonly comfortable: number;
}

/**
 * Scale and place of a drawing in its frame. The frame scrolls as any page does, so wheel, touch, scroll
 * bars and keys move the drawing; buttons, pinching and Ctrl + wheel change its scale.
 */
export class Zoom {
  readonly #frame: HTMLElement;
  readonly #drawing: SVGSVGElement;
  readonly #changed: () => void;
  #box: Box = { x: 0, y: 0, width: 1, height: 1 };
  /** Pixels per millimetre. */
  #scale = 1;
  /** The whole drawing is in view, or was until the frame lost height. */
  #fits = true;
  #frameWidth = 0;
  /** What to bring into view as soon as the frame has a size. */
  #waiting: Wanted | null = null;

  /** @param changed  called after every change of scale or of the frame's size */
  constructor(frame: HTMLElement, drawing: SVGSVGElement, changed: () => void) {
    this.#frame = frame;
    this.#drawing = drawing;
    this.#changed = changed;
    new ResizeObserver(() => this.#settle()).observe(frame);
    frame.addEventListener("wheel", (event) => this.#wheel(event), { passive: false });
    this.#pinch();
  }

  /** A new drawing of that size; starts with all of it in view. */
  draw(box: Box): void {
    this.#box = box;
    this.#waiting = null;
    this.fit();
  }

  fit(): void {
    this.#fits = true;
    this.#frameWidth = 0;
    this.#settle();
  }

  get fits(): boolean {
    return this.#fits;
  }

  /** Closer (more than 1) or farther, keeping the given point of the frame (px) where it is. */
  by(factor: number, x = this.#frame.clientWidth / 2, y = this.#frame.clientHeight / 2): void {
    const before = this.#scale;
    const fitting = this.#fitting();
    const after = Math.min(Math.max(before * factor, fitting), Math.max(CLOSEST, fitting));
    const held = { x: this.#frame.scrollLeft + x, y: this.#frame.scrollTop + y };
    this.#size(after, after <= fitting * 1.001);
    this.#frame.scrollLeft = (held.x * after) / before - x;
    this.#frame.scrollTop = (held.y * after) / before - y;
  }

  /** Moves the view by a share of the frame. */
  pan(right: number, down: number): void {
    this.#frame.scrollBy({
      left: right * this.#frame.clientWidth * 0.6,
      top: down * this.#frame.clientHeight * 0.6,
    });
  }

  /** Brings a box into view: in the whole drawing where that is large enough, else closer. */
  reveal(wanted: Wanted): void {
    this.#waiting = wanted;
    this.#settle();
  }

  #settle(): void {
    const { clientWidth, clientHeight } = this.#frame;
    if (clientWidth === 0 || clientHeight === 0) return;
    const isWidthNew = clientWidth !== this.#frameWidth;
    this.#frameWidth = clientWidth;
    if (this.#waiting) {
      const wanted = this.#waiting;
      this.#waiting = null;
      this.#show(wanted);
    } else {
      // What opens below the map takes some of its height; the drawing then keeps its scale and scrolls.
      const fitting = this.#fitting();
      this.#size(this.#fits && (isWidthNew || fitting > this.#scale) ? fitting : this.#scale, this.#fits);
    }
  }

  #show({ box, enough, comfortable }: Wanted): void {
    const fitting = this.#fitting();
    const { clientWidth, clientHeight } = this.#frame;
    const filling = Math.min(clientWidth / box.width, clientHeight / box.height);
    const closer = Math.max(Math.min(comfortable, filling), fitting);
    const fits = fitting >= enough || closer <= fitting * 1.001;
    const scale = fits ? fitting : closer;
    this.#size(scale, fits);
    this.#frame.scrollLeft = (box.x + box.width / 2 - this.#box.x) * scale - clientWidth / 2;
    this.#frame.scrollTop = (box.y + box.height / 2 - this.#box.y) * scale - clientHeight / 2;
  }

  #size(scale: number, fits: boolean): void {
    this.#scale = scale;
    this.#fits = fits;
    this.#drawing.style.setProperty("--drawn-width", `${Math.floor(this.#box.width * scale)}px`);
    this.#drawing.style.setProperty("--drawn-height", `${Math.floor(this.#box.height * scale)}px`);
    this.#changed();
  }

  #fitting(): number {
    return Math.min(
      this.#frame.clientWidth / this.#box.width,
      this.#frame.clientHeight / this.#box.height,
      CLOSEST,
    );
  }

  #wheel(event: WheelEvent): void {
    if (!event.ctrlKey) return;
    event.preventDefault();
    const { left, top } = this.#frame.getBoundingClientRect();
    this.by(Math.exp(-event.deltaY / 200), event.clientX - left, event.clientY - top);
  }

  #pinch(): void {
    let apart = 0;
    const measured = (event: TouchEvent): { apart: number; x: number; y: number } | null => {
      const [one, two] = event.touches;
      if (!one || !two || event.touches.length !== 2) return null;
      const { left, top } = this.#frame.getBoundingClientRect();
      return {
        apart: Math.hypot(one.clientX - two.clientX, one.clientY - two.clientY),
        x: (one.clientX + two.clientX) / 2 - left,
        y: (one.clientY + two.clientY) / 2 - top,
      };
    };
    this.#frame.addEventListener("touchstart", (event) => {
      apart = measured(event)?.apart ?? 0;
    });
    this.#frame.addEventListener(
      "touchmove",
      (event) => {
        const now = measured(event);
        if (!now || apart === 0) return;
        event.preventDefault();
        this.by(now.apart / apart, now.x, now.y);
        apart = now.apart;
      },
      { passive: false },
    );
  }
}
