import type { Form } from "../form.js";
import type { FormId } from "../types.js";
import { beforeClosing } from "./before-closing.js";
import { changed } from "./changed.js";
import { clearance } from "./clearance.js";
import { closeLater } from "./close-later.js";
import { count } from "./count.js";
import { edge } from "./edge.js";
import { fastener } from "./fastener.js";
import { mayI } from "./may-i.js";
import { next } from "./next.js";
import { notes } from "./notes.js";
import { oddOnes } from "./odd-ones.js";
import { plan } from "./plan.js";
import { progress } from "./progress.js";
import { repair } from "./repair.js";
import { rework } from "./rework.js";
import { stayOpen } from "./stay-open.js";
import { tell } from "./tell.js";
import { tools } from "./tools.js";
import { treatment } from "./treatment.js";
import { turnOver } from "./turn-over.js";
import { why } from "./why.js";
import { whyNot } from "./why-not.js";

/** Every form that can be answered. A new one is a file beside this, a line here and its `kb/questions/ID.json`. */
const ALL: readonly Form[] = [
  beforeClosing,
  mayI,
  treatment,
  fastener,
  tools,
  clearance,
  edge,
  count,
  repair,
  stayOpen,
  closeLater,
  why,
  whyNot,
  oddOnes,
  changed,
  plan,
  next,
  turnOver,
  progress,
  rework,
  notes,
  tell,
];

/** By id. */
export const FORMS: ReadonlyMap<FormId, Form> = new Map(ALL.map((form) => [form.id, form]));
