"""The identification record: every call given, against the rule that the journal names."""

from __future__ import annotations

from fieldtui.outputs.report_blocks import Block, Column, Fact, Facts, Row, Section, Table, Words, clean
from fieldtui.outputs.report_course import CallGiven, CallMissing
from fieldtui.outputs.report_story import SessionStory
from fieldtui.outputs.report_words import clock_words, count_words, minutes_words, span_words
from fieldtui.session.identification import IdentificationFold, Need

MOST_ROWS = 300


def identified_section(story: SessionStory) -> Section | None:
    """What was asked for, what was given, and every single call; nothing for contacts of another program."""
    if story.imported is not None:
        return None
    fold, calls = story.state.identification, story.course.calls
    blocks: list[Block] = [Facts(_facts(fold, calls)), Words(_rule_words(fold))]
    if story.state.opened is None:
        blocks.append(Words("The journal names no rule: its first line is missing.", "caution"))
    blocks += _at_the_end(story)
    if calls or story.course.missing:
        blocks.append(_table(story))
        left_out = max(0, len(calls) - MOST_ROWS) + story.course.calls_left_out
        if left_out:
            blocks.append(Words(f"{count_words(left_out, 'later call')} left out of the table.", "caution"))
    if not calls:
        blocks.append(
            Words("No call sign was marked as given.", "caution" if not fold.record.missed else "warning")
        )
    if not fold.record.transmissions:
        blocks.append(
            Words(
                "No transmission was recorded, so only contacts and marked calls could be counted.", "caution"
            )
        )
    return Section("identification", "Identification", blocks)


def _in_time(fold: IdentificationFold, calls: list[CallGiven]) -> Fact | None:
    """Of the calls that were owed, how many came in time; None if none was owed."""
    in_time = sum(call.after_seconds is not None and not call.late for call in calls)
    late = sum(call.late for call in calls)
    owed, missing = in_time + fold.record.missed, max(0, fold.record.missed - late)
    if not owed:
        return None
    wrong = [f"{late} late"] * bool(late) + [f"{missing} missing at the end of a contact"] * bool(missing)
    return Fact(
        "In time", f"{in_time} of {owed}", f"calls owed; {', '.join(wrong) or 'none late or missing'}"
    )


def _facts(fold: IdentificationFold, calls: list[CallGiven]) -> list[Fact]:
    record, interval = fold.record, fold.rule.interval_seconds
    facts = [Fact("Given", str(record.given), "as marked by the operator")]
    if (in_time := _in_time(fold, calls)) is not None:
        facts.append(in_time)
    if record.longest_gap_seconds:
        limit = f"allowed {minutes_words(interval)}" if interval else "no fixed interval"
        facts.append(Fact("Longest gap", minutes_words(record.longest_gap_seconds), limit))
    facts.append(Fact("Rule", fold.rule.name, f"checked {fold.rule.checked}, {fold.rule.status}"))
    return facts


def _rule_words(fold: IdentificationFold) -> str:
    rule = fold.rule
    parts = [
        f"at least every {span_words(rule.interval_seconds)}"
        if rule.interval_seconds
        else "at short intervals"
    ]
    parts += ["at the start"] * rule.id_at_start + ["at the end"] * rule.id_at_end
    of = "each transmission" if rule.unit == "transmission" else "each communication"
    return f"The rule asks for the call {', '.join(parts)} of {of}. Source: {rule.source}. Advice, never permission."


def _at_the_end(story: SessionStory) -> list[Block]:
    view = story.state.identification.view(story.course.last_seconds)
    if view.need is Need.QUIET:
        return []
    if view.need.urgency < Need.DUE.urgency:
        return [Words("No call follows the last transmissions of the journal; none was due yet.", "caution")]
    return [Words(f"When the journal ends, a call is still owed: {view.words} ({view.reason}).", "warning")]


def _table(story: SessionStory) -> Table:
    columns = (
        Column("UTC"),
        Column("After", numeric=True),
        Column("Said", main=True),
        Column("How"),
        Column("In time"),
    )
    rows = [(call.moment.seconds, _given_row(story, call)) for call in story.course.calls[:MOST_ROWS]]
    rows += [(each.moment.seconds, _missing_row(story, each)) for each in _missing(story)]
    ordered = [row for _, row in sorted(rows, key=lambda row: row[0])]
    return Table("Every call given or missing, and how long after the count began", columns, ordered)


def _missing(story: SessionStory) -> list[CallMissing]:
    """Those that still hold: a contact that was taken back proves nothing."""
    standing = story.state.contacts.by_id
    return [each for each in story.course.missing[:MOST_ROWS] if not standing[each.shown_by].withdrawn]


def _given_row(story: SessionStory, call: CallGiven) -> Row:
    return Row(
        (
            clock_words(story.state.true_at(call.moment)) or "?",
            minutes_words(call.after_seconds) if call.after_seconds is not None else "–",
            clean(call.said, 40) or "–",
            call.method,
            _verdict(call),
        )
    )


def _missing_row(story: SessionStory, each: CallMissing) -> Row:
    at = clock_words(story.state.true_at(each.moment)) or "?"
    return Row((at, "–", f"no call after {clean(each.after, 20)}", "–", "missing"))


def _verdict(call: CallGiven) -> str:
    if call.late:
        return "late"
    return "yes" if call.after_seconds is not None else "not owed"
