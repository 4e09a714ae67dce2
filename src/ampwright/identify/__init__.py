"""Which system is fitted, and how sure: findings weighed into belief, and the System that follows."""
