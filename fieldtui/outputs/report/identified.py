"""The identification record: every call given, against the rule that the journal names."""

from __future__ import annotations

from fieldtui.outputs.page.blocks import Block, Column, Fact, Facts, Row, Section, Table, Words, clean
from fieldtui.outputs.page.words import clock_words, count_words, minutes_words, span_words
from fieldtui.outputs.report.course import CallGiven
from fieldtui.outputs.report.story import SessionStory
from fieldtui.radio.frequency import format_megahertz
from fieldtui.radio.where.law import assumed_words
from fieldtui.session.identification.demands import Need
from fieldtui.session.identification.fold import IdentificationFold
from fieldtui.session.identification.record import Unmarked, unseen_words

MOST_ROWS = 300


def identified_section(story: SessionStory) -> Section | None:
    """What was asked for, what was given, and every single call; nothing for contacts of another program."""
    if story.imported is not None:
        return None
    fold, calls = story.state.identification, story.course.calls
    ruled = story.state.ruled
    assumed_from = clean(ruled.rule_from, 40) if ruled else ""
    blocks: list[Block] = [Facts(_facts(fold, calls, assumed_from)), Words(_rule_words(fold))]
    if story.state.opened is None:
        blocks.append(Words("The journal names no rule: its first line is missing.", "caution"))
    blocks += _at_the_end(story)
    if calls or fold.record.unmarked:
        blocks += _calls_one_by_one(story)
    if not calls:
        blocks.append(
            Words("No call sign was marked as given.", "caution" if not fold.record.missed else "warning")
        )
    if fold.record.unseen:
        blocks.append(Words(f"{unseen_words(fold.record.unseen).capitalize()}.", "caution"))
    elif not fold.record.transmissions:
        blocks.append(Words("No transmission was recorded, so there is nothing to count.", "caution"))
    return Section("identification", "Identification", blocks)


def _calls_one_by_one(story: SessionStory) -> list[Block]:
    """Every call, if it was asked for: the page is often handed on."""
    record = story.state.identification.record
    if not story.calls:
        return [Words("The single calls are left out; `fieldtui report --calls` lists them.")]
    unmarked = record.unmarked - len(record.unmarked_ends)
    left_out = max(0, len(story.course.calls) - MOST_ROWS) + story.course.calls_left_out + unmarked
    more = (
        [Words(f"{count_words(left_out, 'later row')} left out of the table.", "caution")] if left_out else []
    )
    return [_table(story), *more]


def _in_time(fold: IdentificationFold, calls: list[CallGiven]) -> Fact | None:
    """Of the calls that were owed, how many came in time; None if none was owed."""
    in_time = sum(call.after_seconds is not None and not call.late for call in calls)
    late, unmarked = fold.record.late, fold.record.unmarked
    owed = in_time + late + unmarked
    if not owed:
        return None
    wrong = [f"{late} late"] * bool(late) + [f"{unmarked} not marked at the end of a communication"] * bool(
        unmarked
    )
    return Fact(
        "In time", f"{in_time} of {owed}", f"calls owed; {', '.join(wrong) or 'none late, none not marked'}"
    )


def _facts(fold: IdentificationFold, calls: list[CallGiven], assumed_from: str) -> list[Fact]:
    record, interval = fold.record, fold.rule.interval_seconds
    facts = [Fact("Given", str(record.given), "as marked by the operator")]
    if (in_time := _in_time(fold, calls)) is not None:
        facts.append(in_time)
    if record.longest_gap_seconds:
        limit = f"allowed {minutes_words(interval)}" if interval else "no fixed interval"
        facts.append(Fact("Longest gap", minutes_words(record.longest_gap_seconds), limit))
    assumed = f", {assumed_words(assumed_from)}" if assumed_from else ""
    facts.append(Fact("Rule", fold.rule.name, f"checked {fold.rule.checked}, {fold.rule.status}{assumed}"))
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
    if view.need is Need.QUIET or not story.state.identification.owed_was_seen:
        return []
    if view.need.urgency < Need.DUE.urgency and not view.sign_off:
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
    fold = story.state.identification
    rows = [(call.moment.seconds, _given_row(story, call)) for call in story.course.calls[:MOST_ROWS]]
    rows += [(each.moment.seconds, _unmarked_row(story, each)) for each in fold.record.unmarked_ends]
    ordered = [row for _, row in sorted(rows, key=lambda row: row[0])]
    return Table("Every call given or not marked, and how long after the count began", columns, ordered)


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


def _unmarked_row(story: SessionStory, each: Unmarked) -> Row:
    """Only the key was not pressed, as far as the journal knows: whether the call was given, it does not."""
    at = clock_words(story.state.true_at(each.moment)) or "?"
    last = story.state.contacts.by_id.get(each.contact or "")
    after = f"after {clean(last.call, 20)}" if last else "after the end"
    if each.left_hertz is not None:
        after = f"before {format_megahertz(each.left_hertz)} MHz was left"
    return Row((at, "–", f"none marked {after}", "–", "not marked"))


def _verdict(call: CallGiven) -> str:
    if call.late:
        return "late"
    return "yes" if call.after_seconds is not None else "not owed"
