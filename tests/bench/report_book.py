"""Reports the size of the rule book and the prompts to advice: python tests/bench/report_book.py"""

from statistics import median

from rules.book import shipped
from rules.crew.examples import consult_example


def main() -> None:
    """Print one line a symptom, then the sums."""
    book = shipped()
    rules = examples = 0
    everything: list[int] = []
    print(f"{'symptom':<24} rules  median  most prompts to advice")
    for symptom in map(book.symptoms.__getitem__, book.names):
        found = book.rules_for(symptom.id)
        asked = [consult_example(book, rule, one)[1] for rule in found for one in rule.fires]
        rules += len(found)
        examples += sum(len(rule.fires) + len(rule.silent) for rule in found)
        everything += asked
        print(f"{symptom.id:<24} {len(found):>5} {median(asked):>7g} {max(asked):>5}")
    print(f"{len(book.symptoms)} symptoms, {rules} rules, {examples} examples,")
    print(f"{len(book.prompts)} prompts, {len(book.inspections)} inspections;")
    print(f"prompts to advice: median {median(everything):g}, most {max(everything)}")


if __name__ == "__main__":
    main()
