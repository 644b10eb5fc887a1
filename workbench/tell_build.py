"""What `build` writes, in plain lines."""

from budget.building import Product
from budget.images.build import Built
from budget.images.load import ORDERS
from budget.machine.program import Program
from budget.program_size import row_of_built
from solver.proof import PROVED
from workbench.built_strategy import BuiltStrategy
from workbench.output import plural, say, table
from workbench.tell_program import counted, listing_lines
from workbench.tell_self_test import in_words as self_test_in_words
from workbench.tell_self_test import self_test_text
from workbench.tell_size import in_words, seconds

LISTING, LISTING_TITLE = ".listing.txt", "listing"
ORDERS_TITLE = "program in Wordtight's orders"
SELF_TEST, SELF_TEST_TITLE = ".selftest.txt", "games for the morning"


def listing_text(program: Program) -> str:
    """The listing as `assemble` prints it, as the text of a file."""
    lines = [line.rstrip() for line in listing_lines(program)]
    return "\n".join([*lines, "", counted(program), ""])


def with_listing(built: Built, program: Program, name: str) -> Built:
    """The files of a program with its listing before them."""
    return built._replace(
        files={name + LISTING: listing_text(program).encode(), **built.files},
        titles={name + LISTING: LISTING_TITLE, **built.titles},
    )


def files_of_strategy(built: Built, strategy: BuiltStrategy, name: str) -> Built:
    """The same with what a strategy has besides: the text of its program, and the games for the morning."""
    texts = {ORDERS: (ORDERS_TITLE, strategy.product.lowered.text)}
    if strategy.morning is not None:
        texts[SELF_TEST] = SELF_TEST_TITLE, self_test_text(strategy.morning)
    return built._replace(
        files={**built.files, **{name + suffix: text.encode() for suffix, (_, text) in texts.items()}},
        titles={**built.titles, **{name + suffix: title for suffix, (title, _) in texts.items()}},
    )


def names_of_ours(name: str) -> list[str]:
    """The files that only some building of a program writes."""
    return [name + ORDERS, name + SELF_TEST]


def built_lines(built: Built) -> list[str]:
    """The files with what each is and how long it is."""
    rows = [(name, built.titles[name], f"{len(content):,}") for name, content in built.files.items()]
    return table(("file", "what it is", "bytes"), rows, right=(2,))


def tell_strategy(strategy: BuiltStrategy) -> None:
    """What was built of a strategy, what it was held against, and what it takes."""
    product = strategy.product
    form, card = product.form, product.lowered.program.card
    if strategy.verdict != PROVED:
        say(f"BUT: '{strategy.proof.claim}' does not hold for this strategy.")
        say()
    closed, words = product.closed, product.lowered.words
    say(
        f"PLAYS AS IT SHOULD: {form.title} ({form.reading}), run on {card.name} with {closed.inputs:,} inputs in all "
        f"{closed.states:,} states that it can get into."
    )
    say(
        f"{plural(words.total, 'word')}: {words.program:,} of orders, {words.table:,} of tables, {words.constants:,} "
        f"of constants, {words.messages:,} of messages, {words.workspace:,} of workspace."
    )
    _tell_verdicts(product)
    replies = row_of_built(product.built, card).replies
    if replies is not None:
        say(f"It works longest {in_words(replies.most)}.")
        if replies.slowest != replies.most and replies.is_timed:
            say(f"The visitor waits longest {in_words(replies.slowest)}.")
    _tell_check(product)
    if strategy.morning is not None:
        say(f"Self-test: {self_test_in_words(strategy.morning)}")
    say()


def _tell_verdicts(product: Product) -> None:
    saved = product.verdict_words
    if saved is None or product.kept is None:
        return
    if product.kept == product.lowered.words and saved:
        say(f"Of these, {plural(saved, 'word')} tell endings that are proved never to happen.")
    elif saved:
        say(f"Leaving out endings that are proved never to happen saves {plural(saved, 'word')}.")


def _tell_check(product: Product) -> None:
    check = product.check
    if check is None:
        return
    when = "At the start and before every game" if check.between_games else "At the start"
    took = f"{check.instructions:,} instructions"
    if check.thinking is not None:
        took += f", {seconds(check.thinking)}"
    say(f"{when} it sums its words: {took}. If one is wrong, it prints {product.check_sign} and halts.")
