"""What the day's passes say of each change: an estimate with its range, a verdict, a decision.

`passes` and `priors` are what it starts from, `memory` and `car_noise` what earlier days add,
`model` estimates, `verdict` judges, `passes_needed` says how many more would tell, `recommendation`
which setting to stand on; `designs`, `measured` and `interactions` are what else is weighed,
`verdict_words` how it is said.
"""
