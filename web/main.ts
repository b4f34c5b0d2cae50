import type { Reading } from "../server/ask/types.js";
import { NOTHING_YET, PANES, type Pane, readSight, type Sight, writeSight } from "./address.js";
import { fetchKits, fetchSuggestions, followShopBook } from "./api.js";
import { Bench, type OnBench } from "./bench.js";
import { Chooser } from "./chooser.js";
import { Conversation, type Question } from "./conversation.js";
import { button, byId, h } from "./dom.js";
import { HoleMap } from "./hole-map.js";
import { HolePanel } from "./hole-panel.js";
import { Marking } from "./marking.js";
import { NoteForm } from "./note-form.js";
import { Notices } from "./notices.js";
import { openForPaper } from "./paper.js";
import { PartsList } from "./parts-list.js";
import { PlanPane } from "./plan-pane.js";
import { problemView } from "./problem-view.js";
import { QuestionBox } from "./question-box.js";
import { RulesRoom } from "./rules-room.js";
import { SignIn } from "./sign-in.js";
import { Who } from "./who.js";
import type { KitSummary } from "./wire.js";

const PANE_NAMES: Readonly<Record<Pane, string>> = {
  answer: "Answers",
  map: "Map",
  parts: "Parts",
  plan: "Plan",
  rules: "Shop rules",
};

const bench = new Bench();
const notices = new Notices();
/** Why the page could not open what the address names. */
const failure = h("div", { role: "alert" });
const signIn = new SignIn();
const who = new Who();
// What is written with a key is signed by its holder.
signIn.holder.watch((holder) => {
  who.element.hidden = holder !== null;
});
const marking = new Marking(bench, notices, who);
const say = (words: string): void => {
  byId("spoken").textContent = words;
};
const conversation = new Conversation(bench, {
  shown: (question, answer) => {
    look({ ask: question.words, form: question.form, slots: question.slots }, "keep");
    bench.asked.value = answer?.holes ?? [];
    if (answer && answer.holes.length > 0) turnTo(answer.holes);
  },
  showHoles: (holes) => chooseOnMap(holes),
  record: (marks) => marking.record(marks),
  say,
  unsent: (words) => box.giveBack(words),
});
const map = new HoleMap(bench, (view) => look({ view }, "keep"));
const box = new QuestionBox((words) => ask({ words, form: null, slots: {} }, false));
const panel = new HolePanel(bench, marking, new NoteForm(bench, notices, who), askReading);
const parts = new PartsList(bench, marking, who, askReading, {
  showHoles: chooseOnMap,
  pointAt: (part) => {
    bench.point(part);
    look({ pane: "map" }, "add");
    const holes = bench.on.value?.assembly.rows
      .filter((row) => row.part === part)
      .flatMap((row) => row.holes);
    if (holes && holes.length > 0) turnTo(holes);
    panel.focus();
  },
  note: new NoteForm(bench, notices, who),
});
const plan = new PlanPane(bench, chooseOnMap);
const chooser = new Chooser(bench, askReading);
const rules = new RulesRoom(bench, who, signIn, {
  // Beside the map the rule stays in view; on a small screen there is room for one of them.
  showHoles: (holes) => (isWide.matches ? chooseBeside(holes) : chooseOnMap(holes)),
  opened: (rule) => look({ pane: "rules", rule }, "add"),
  askAsIf: ({ id, revisions }) => {
    tryRule(id, revisions.at(-1)?.rule.title ?? id);
    look({ pane: "answer", trying: id, ask: null, form: null, slots: {} }, "add");
    conversation.leave();
    byId("question").focus();
  },
  say,
});

/** As in layout.css. */
const isWide = matchMedia("(min-width: 60rem)");
let sight: Sight = NOTHING_YET;
let kits: readonly KitSummary[] = [];

/** Changes what is looked at, and the address with it. "add" is a step that Back returns from. */
function look(change: Partial<Sight>, step: "add" | "keep"): void {
  sight = { ...sight, ...change };
  byId("main").dataset.pane = sight.pane;
  plan.show(sight.pane === "plan");
  rules.show(sight.pane === "rules", sight.rule);
  for (const one of byId("panes").querySelectorAll("button"))
    one.setAttribute("aria-pressed", String(one.dataset.pane === sight.pane));
  sight = { ...sight, view: map.show(sight.view) ?? sight.view };
  const address = `#${writeSight(sight)}`;
  if (address === location.hash) return;
  if (step === "add") history.pushState(null, "", address);
  else history.replaceState(null, "", address);
}

function ask(question: Question, moveFocus: boolean): void {
  look({ pane: "answer", ask: question.words, form: question.form, slots: question.slots }, "add");
  void conversation.ask(question, moveFocus);
}

/** Answers questions as if a shop rule were in force, or as things stand. */
function tryRule(rule: string | null, called: string): void {
  conversation.tryRule(rule, called, () => {
    tryRule(null, "");
    look({ trying: null, ask: null, form: null, slots: {} }, "add");
    conversation.leave();
  });
}

function askReading({ said, form, slots }: Reading): void {
  ask({ words: said, form, slots }, true);
}

/** Turns the map to where these holes are. */
function turnTo(holes: readonly string[]): void {
  look({ view: map.bestView(holes) }, "keep");
  map.reveal(holes);
}

function chooseOnMap(holes: readonly string[]): void {
  bench.select(holes);
  look({ pane: "map" }, "add");
  turnTo(holes);
}

function chooseBeside(holes: readonly string[]): void {
  bench.select(holes);
  turnTo(holes);
}

/** Goes where the address says. */
async function go(to: Sight): Promise<void> {
  const kit = kits.find(({ id }) => id === to.kit) ?? kits[0];
  const assembly = kit?.assemblies.find(({ id }) => id === to.assembly) ?? kit?.assemblies[0];
  if (!kit || !assembly) throw new Error("The server offers no kit.");
  if ((to.kit ?? kit.id) !== kit.id || (to.assembly ?? assembly.id) !== assembly.id)
    notices.tell("The address names an assembly that is not here; this is another one.");
  const opened = bench.on.value?.assembly;
  if (opened?.kit.id !== kit.id || opened.id !== assembly.id) {
    if (!(await bench.open(kit.id, assembly.id))) return;
    conversation.begin(`${kit.name}: ${assembly.name}`);
    document.title = `${assembly.name}, ${kit.name} · Tailroom`;
    (byId("chooser") as HTMLSelectElement).value = `${kit.id} ${assembly.id}`;
  }
  if (to.trying !== sight.trying) tryRule(to.trying, to.trying ?? "");
  look({ ...to, kit: kit.id, assembly: assembly.id }, "keep");
  if (to.ask === null && to.form === null) {
    bench.asked.value = [];
    conversation.leave();
    return;
  }
  const question = { words: to.ask ?? to.form ?? "", form: to.form, slots: to.slots };
  if (!conversation.revisit(question)) await conversation.ask(question, false);
}

/** Questions to begin with follow the work; without them everything can still be typed. */
async function offerStarters({ assembly, work }: OnBench): Promise<void> {
  const readings = await fetchSuggestions(assembly.kit.id, assembly.id, {}).catch(() => []);
  const now = bench.on.value;
  if (now?.assembly === assembly && now.work.version === work.version)
    conversation.offer(readings, askReading);
}

function fillChooser(): void {
  const chooser = byId("chooser") as HTMLSelectElement;
  chooser.replaceChildren(
    ...kits.map((kit) =>
      h(
        "optgroup",
        { label: kit.name },
        ...kit.assemblies.map(({ id, name }) =>
          h("option", { value: `${kit.id} ${id}` }, `${kit.name}: ${name}`),
        ),
      ),
    ),
  );
  chooser.addEventListener("change", () => {
    const [kit = null, assembly = null] = chooser.value.split(" ");
    history.pushState(null, "", `#${writeSight({ ...NOTHING_YET, kit, assembly })}`);
    void start();
  });
}

/** Opens what the address names; on failure says why and offers another try. */
async function start(): Promise<void> {
  try {
    if (kits.length === 0) {
      kits = await fetchKits();
      fillChooser();
    }
    await go(readSight(location.hash));
    failure.replaceChildren();
  } catch (error) {
    failure.replaceChildren(problemView(error, () => void start()));
  }
}

byId("main").before(signIn.element);
byId("talk").append(failure, conversation.element);
byId("bench").append(
  notices.element,
  map.element,
  panel.element,
  rules.exampleBar,
  parts.element,
  plan.element,
);
byId("room").append(rules.element);
document.body.append(chooser.element);
byId("choose").addEventListener("click", () => void chooser.open());
byId("panes").append(
  ...PANES.map((pane) =>
    button(PANE_NAMES[pane], () => look({ pane }, "add"), { "data-pane": pane, class: "pane" }),
  ),
);
byId("print").addEventListener("click", () => window.print());
bench.on.watch((on) => {
  byId("book").textContent = on ? `Shop book, version ${on.work.version}` : "";
  if (on) void offerStarters(on);
});
window.addEventListener("popstate", () => void start());
followShopBook((version) => {
  if (version !== bench.on.value?.work.version) void bench.refresh().catch(() => undefined);
});
openForPaper(byId("printed"));
void start();
