/** What is typed in fields of an element that is about to be drawn anew, by their ids; keys are left out. */
export function typedIn(element: HTMLElement): ReadonlyMap<string, string> {
  return new Map(
    fieldsOf(element).flatMap((field): (readonly [string, string])[] =>
      field.value === "" ? [] : [[field.id, field.value]],
    ),
  );
}

/** Puts it back into the fields that are there again. */
export function putBack(element: HTMLElement, typed: ReadonlyMap<string, string>): void {
  for (const field of fieldsOf(element)) field.value = typed.get(field.id) ?? field.value;
}

function fieldsOf(element: HTMLElement): readonly (HTMLInputElement | HTMLTextAreaElement)[] {
  return [
    ...element.querySelectorAll<HTMLInputElement | HTMLTextAreaElement>("textarea[id], input[type=text][id]"),
  ];
}
