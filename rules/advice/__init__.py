"""The one piece of advice about a pass: the situation, the gates, the candidates, the choice."""
