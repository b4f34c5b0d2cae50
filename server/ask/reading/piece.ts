/** Which holes of a row: given by number, counted from an end, or all but some. */
export type Pick =
  | { readonly kind: "numbers"; readonly numbers: readonly number[]; readonly from: string | null }
  | { readonly kind: "first" | "last"; readonly count: number; readonly from: string | null }
  | { readonly kind: "but"; readonly left: Pick };

/** What a run of words names by itself, before it is put together with its neighbours. */
export type Piece =
  | { readonly kind: "parts"; readonly parts: readonly string[]; readonly many: boolean }
  | { readonly kind: "which-part"; readonly parts: readonly string[] }
  | { readonly kind: "family"; readonly family: string }
  /** `asRow`: called a row or a column, so that "the top row" is no side of the assembly. */
  | { readonly kind: "row"; readonly sayings: readonly (readonly string[])[]; readonly asRow: boolean }
  | { readonly kind: "row-ids"; readonly rows: readonly string[] }
  | { readonly kind: "hole-ids"; readonly holes: readonly string[] }
  | { readonly kind: "pick"; readonly pick: Pick; readonly bare: boolean }
  | { readonly kind: "everything" }
  /** `not`: said to be so not yet, as in "the twist has not been checked". */
  | { readonly kind: "milestone"; readonly id: string; readonly not: boolean }
  | { readonly kind: "notice"; readonly id: string }
  | { readonly kind: "neighbour"; readonly id: string }
  | StepsPiece
  /** A name or number that does not exist; `parts`, or `steps`, of that sort do. */
  | { readonly kind: "unknown"; readonly parts: readonly string[]; readonly steps?: readonly string[] };

/** Steps of the manual: each of them (`all`), or one of them. */
export interface StepsPiece {
  readonly kind: "steps";
  readonly steps: readonly string[];
  readonly all: boolean;
  /** The id stood alone and could be holes by number as well: "6-7". */
  readonly or: Pick | null;
}

/** A piece and where it ends. */
export interface Found {
  readonly piece: Piece;
  readonly end: number;
  /** Where its telling words end, when words such as "row" or "holes" follow them. */
  readonly core?: number;
}
