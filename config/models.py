"""All models of the project itself, for Django to find; other code imports each from its own package."""

from config.accounts.models import BrowserSession, RecoveryCode, RoleRule, SecondFactor

__all__ = ["BrowserSession", "RecoveryCode", "RoleRule", "SecondFactor"]
