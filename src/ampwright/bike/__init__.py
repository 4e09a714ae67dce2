"""The bike and the job: what was found, what is fitted, what it feeds, how it is ridden, what is wished for."""
