import type { RuleChange } from "../../ruling/differences.js";
import type { Truth } from "../../ruling/types.js";
import type { Departure } from "../../shop/departures.js";
import type { DoneWrong, Impact, Outcome, RulingChange } from "../../shop/impact.js";
import type { ListChange, OrderImpact, PlanChange } from "../../shop/order-impact.js";
import { counted, plural, sentence } from "./grammar.js";
import { attributeLabel, theFact } from "./measures.js";
import type { RuleSayer } from "./rule-words.js";
import { sayRule, sayValueShort } from "./rulings.js";

/** What a line is about, the gravest first. */
export const IMPACT_KINDS = [
  "done wrong",
  "conflict",
  "undecided",
  "departure",
  "contradiction",
  "plan",
  "closing",
  "changed",
  "added",
] as const;
export type ImpactKind = (typeof IMPACT_KINDS)[number];

/** One thing that a change of rules would do, with the holes that it is about. */
export interface ImpactLine {
  readonly kind: ImpactKind;
  readonly said: string;
  /** The same without the holes: "head protruding → flush". */
  readonly what: string;
  readonly holes: readonly string[];
}

/** A line before its holes are named. */
type Line = Omit<ImpactLine, "what">;

/**
 * What a change of rules would do, in the builder's words, the gravest first; no lines where nothing changes.
 * @param order  null = plan and closings were not worked out
 */
export function sayImpact(
  impact: Impact,
  order: OrderImpact | null,
  sayer: RuleSayer,
): readonly ImpactLine[] {
  const { names } = sayer;
  const lines: Line[] = [
    ...wrongLines(impact.doneWrong, sayer),
    ...grouped(impact.conflicts, sayer, "conflict"),
    ...grouped(impact.undecided, sayer, "undecided"),
    ...impact.departures.map((one) => departureLine(one, sayer)),
    ...(order ? orderLines(order, sayer) : []),
    ...grouped(
      impact.changed.filter((one) => !impact.conflicts.includes(one) && !impact.undecided.includes(one)),
      sayer,
      "changed",
    ),
    ...impact.added.flatMap((one) => addedLines(one, sayer)),
  ];
  return lines.map((line) => ({
    ...line,
    what: line.said,
    said: sentence(line.holes.length === 0 ? line.said : `${names.where(line.holes)}: ${line.said}`),
  }));
}

/** Items with the same key together, in the order in which the first of each comes. */
function together<T>(items: readonly T[], keyOf: (item: T) => string): readonly (readonly [T, ...T[]])[] {
  const groups = new Map<string, [T, ...T[]]>();
  for (const item of items) {
    const group = groups.get(keyOf(item));
    if (group) group.push(item);
    else groups.set(keyOf(item), [item]);
  }
  return [...groups.values()];
}

function sayOutcome(attribute: string, { status, value }: Outcome, { names, units }: RuleSayer): string {
  switch (status) {
    case "settled":
      return value === null ? "open" : sayValueShort(attribute, value, names, units);
    case "unclaimed":
      return attribute === "hold" ? "not held open" : "not said by any rule";
    default:
      return status === "conflict" ? "in conflict" : "undecided";
  }
}

/** Changes of the same attribute from the same to the same, in one line. */
function grouped(changes: readonly RulingChange[], sayer: RuleSayer, kind: ImpactKind): readonly Line[] {
  const said = ({ attribute, before, after }: RulingChange): string => {
    const facts = after.missing.map(theFact);
    const missing = facts.length > 0 ? ` (${facts.join(", ")} not known)` : "";
    return `${attributeLabel(attribute)} ${sayOutcome(attribute, before, sayer)} → ${sayOutcome(attribute, after, sayer)}${missing}`;
  };
  return together(changes, said).map((group) => ({
    kind,
    said: said(group[0]),
    holes: group.map(({ hole }) => hole),
  }));
}

function wrongLines(wrong: readonly DoneWrong[], sayer: RuleSayer): readonly Line[] {
  return together(wrong, (one) => sayWrong(one, sayer)).map((group) => ({
    kind: "done wrong",
    said: sayWrong(group[0], sayer),
    holes: group.map(({ hole }) => hole),
  }));
}

function sayWrong(wrong: DoneWrong, sayer: RuleSayer): string {
  const { names } = sayer;
  switch (wrong.what) {
    case "set": {
      const { attribute, before, after, certain } = wrong;
      const [was, is] = [before, after].map((one) => sayOutcome(attribute, one, sayer));
      const doubt = certain ? "" : "; whether it is right can no longer be said";
      return `set already, with the ${attributeLabel(attribute)} ruled ${was}, now ${is}${doubt}`;
    }
    case "set though held":
      return wrong.until === null
        ? "set already, though it may have to stay open"
        : `set already, though it is to stay open until ${names.milestone(wrong.until)}`;
    case "set outside a limit":
      return `set already, ${wrong.certain ? "and" : "and perhaps"} outside the limit that ${titled(wrong.rule, sayer)} sets to ${theFact(wrong.fact)}`;
    case "out of order": {
      const perhaps = wrong.certain ? "" : ", if the rule holds here";
      return wrong.relation === "before"
        ? `still open, though it is to be set before ${names.thePart(wrong.part)}, which is closed${perhaps}`
        : `set already, though ${names.thePart(wrong.part)} is to be on first${perhaps}`;
    }
    case "gate": {
      const gate = `“${names.gate(wrong.gate)}” is marked as done on ${names.thePart(wrong.part)}`;
      return wrong.needed === "true"
        ? `${gate}, and these holes call for it anew: look whether they were done`
        : `${gate}, and these holes ${wrong.needed === "false" ? "no longer call" : "may no longer call"} for it`;
    }
  }
}

function titled(rule: string, { titleOf }: RuleSayer): string {
  const title = titleOf(rule);
  return title === null ? `the rule ${rule}` : sayRule(title);
}

function departureLine(
  { rule, from, attribute, holes, declared, reference }: Departure,
  sayer: RuleSayer,
): Line {
  const on = attribute === null ? "" : ` on the ${attributeLabel(attribute)}`;
  const said = declared
    ? `${titled(rule, sayer)} departs from ${titled(from, sayer)}${on}, ${reference === null ? "and the kit maker's agreement is not named yet" : "by the kit maker's agreement"}`
    : `${titled(rule, sayer)} contradicts ${titled(from, sayer)}${on}, which is stronger and stands: a departure needs the kit maker's agreement`;
  return { kind: "departure", said, holes };
}

function orderLines({ contradictions, plan, closings }: OrderImpact, sayer: RuleSayer): readonly Line[] {
  const { names } = sayer;
  const held = together(contradictions, ({ part, hold }) => `${part} ${hold.until}`).map((group): Line => {
    const [{ part, hold }] = group;
    const until = hold.until === null ? "until nobody can say when" : `until ${names.milestone(hold.until)}`;
    return {
      kind: "contradiction",
      said: `to stay open ${until}, and to be set before ${names.thePart(part)} closes: both cannot be`,
      holes: group.map(({ hole }) => hole),
    };
  });
  const before = closings.flatMap(({ part, mustBefore, undecided }): readonly Line[] => {
    const closes = `before ${names.thePart(part)} closes`;
    return listLines("closing", mustBefore, [`to be set ${closes}`, `no longer to be set ${closes}`]).concat(
      listLines("closing", { gained: undecided.gained, lost: [] }, [
        `perhaps to be set ${closes}: undecided`,
        "",
      ]),
    );
  });
  return [...held, ...(plan ? planLines(plan, sayer) : []), ...before];
}

function listLines(
  kind: ImpactKind,
  { gained, lost }: ListChange,
  [more, less]: readonly [string, string],
): readonly Line[] {
  return [
    ...(gained.length > 0 ? [{ kind, said: more, holes: gained }] : []),
    ...(lost.length > 0 ? [{ kind, said: less, holes: lost }] : []),
  ];
}

function planLines(plan: PlanChange, sayer: RuleSayer): readonly Line[] {
  const { names } = sayer;
  const { before, after, leftOpen, leftOff, broken } = plan;
  const plain = (said: string): Line => ({ kind: "plan", said, holes: [] });
  const lines = [
    ...(before.status !== "impossible" && after.status === "impossible"
      ? [plain("there is no order any more in which everything can be built")]
      : []),
    ...(before.status === "impossible" && after.status !== "impossible"
      ? [plain("there is an order again in which everything can be built")]
      : []),
    ...(before.turnOvers !== after.turnOvers && after.status !== "impossible"
      ? [
          plain(
            `the plan turns it over ${counted(after.turnOvers, "time")}, not ${counted(before.turnOvers, "time")}`,
          ),
        ]
      : []),
    ...listLines("plan", leftOpen, ["stays open for now", "no longer stays open for now"]),
    ...(leftOff.gained.length > 0
      ? [
          plain(
            `${names.parts(leftOff.gained)} ${plural(leftOff.gained.length, "stays", "stay")} off for now`,
          ),
        ]
      : []),
    ...(leftOff.lost.length > 0
      ? [plain(`${names.parts(leftOff.lost)} no longer ${plural(leftOff.lost.length, "stays", "stay")} off`)]
      : []),
    ...broken.gained.map((rule) =>
      plain(`the plan can no longer keep the preference ${titled(rule, sayer)}`),
    ),
    ...broken.lost.map((rule) => plain(`the plan keeps the preference ${titled(rule, sayer)} again`)),
  ];
  return lines.length > 0 ? lines : [plain("some steps of the plan change or come at another place")];
}

/** Orders, limits and cautions that begin or cease to hold. */
function addedLines({ rule, before, after, holes }: RuleChange, sayer: RuleSayer): readonly Line[] {
  const name = titled(rule, sayer);
  const now: Readonly<Record<Truth, string>> = {
    true: before !== null && after !== null ? `${name} holds now, or says something else` : `${name} holds`,
    unknown: `${name} may hold: a fact is missing`,
    false: `${name} no longer holds`,
  };
  return together(holes, (one) => one.after).map((group) => ({
    kind: "added",
    said: now[group[0].after],
    holes: group.map(({ hole }) => hole),
  }));
}
