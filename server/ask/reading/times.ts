/** A word for when something was or will be: a day, a meal, a stretch of time. */
export const TIME =
  /^(times?|days?|nights?|weeks?|weekends?|months?|years?|summer|winter|spring|autumn|sunday|monday|tuesday|wednesday|thursday|friday|saturday|seconds?|minutes?|hours?|today|tonight|tomorrow|yesterday|mornings?|afternoons?|evenings?|ages|lunch|breakfast|supper|dinner|midnight|noon|easter|christmas|january|february|april|june|july|august|september|october|november|december)$/;

/** A time of the day: "10:30", "9pm". */
export const CLOCK = /^\d{1,2}([:.]\d\d)?(am|pm)$|^\d{1,2}:\d\d$/;
